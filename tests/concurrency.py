"""Many at once on the one database, each with a connection of its own: threads, or processes that share nothing."""

import json
import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from threading import Barrier, Thread
from typing import Any

from django.db import connection, connections

TREE = Path(__file__).resolve().parent.parent
CHILD = """
import json, sys
from importlib import import_module
import django
from django.conf import settings
from django.db import connections
settings.DATABASES["default"]["NAME"] = sys.argv[1]
django.setup()
module, _, name = sys.argv[2].partition(":")
task = getattr(import_module(module), name)
connections["default"].ensure_connection()
print("ready", flush=True)
sys.stdin.readline()
print(json.dumps(task(**json.loads(sys.argv[3]))), flush=True)
"""


def in_threads(tasks: Sequence[Callable[[], Any]], *, connected: bool = True, seconds: float = 300) -> list[Any]:
    """Run the tasks at once, each in a thread with its own connection; return results or what was raised.

    A task that does not end in so many seconds fails the test.

    The caller's own connection is given back meanwhile: the pool holds eight. More threads than that begin
    without one (``connected=False``), as those of a server do, and wait for each other's.
    """
    connections.close_all()
    told: list[Any] = [None] * len(tasks)
    together = Barrier(len(tasks))

    def run(place: int, task: Callable[[], Any]) -> None:
        try:
            if connected:
                connection.ensure_connection()
            together.wait(10)
            told[place] = task()
        except Exception as error:
            told[place] = error
        finally:
            connections.close_all()

    threads = [Thread(target=run, args=pair) for pair in enumerate(tasks)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(seconds)
    assert not any(thread.is_alive() for thread in threads), f"a task did not end within {seconds} s"
    return told


def in_processes(task: str, arguments: Sequence[dict[str, Any]]) -> list[Any]:
    """Run ``module:function`` at once in as many processes as there are arguments (JSON); return the results.

    Each process has its own interpreter and connection; all begin when the last of them is ready. One that fails
    fails the test with what it wrote.
    """
    name = str(connection.settings_dict["NAME"])
    children = [
        subprocess.Popen(
            [sys.executable, "-W", "error", "-c", CHILD, name, task, json.dumps(values)],
            cwd=TREE, env=os.environ | {"DJANGO_SETTINGS_MODULE": "stewardship.settings"}, text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )
        for values in arguments
    ]  # fmt: skip
    try:
        for child in children:
            if child.stdout.readline() != "ready\n":
                raise AssertionError(child.communicate(timeout=10)[1])
        for child in children:
            child.stdin.write("\n")
            child.stdin.flush()
        ends = [child.communicate(timeout=120) for child in children]
    finally:
        for child in children:
            child.kill()
            child.wait()
    for child, (_, said) in zip(children, ends, strict=True):
        assert child.returncode == 0, said
    return [json.loads(out) for out, _ in ends]
