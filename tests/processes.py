"""Real processes on the test's own database: started as direct children, killed by id, always reaped."""

import contextlib
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from django.conf import settings
from django.db import connection

PATIENCE_S = 40


def database_url() -> str:
    """Return the URL of the database that the test runs on."""
    told = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{told['NAME']}"
    user = f"{told['USER']}:{told['PASSWORD']}".rstrip(":")
    return f"postgres://{user}@{told['HOST']}:{told['PORT'] or 5432}/{told['NAME']}"


def environment(**variables: str | None) -> dict[str, str]:
    """Return the variables of a child that works on the test's database, with a lease of two seconds; None unsets."""
    own = {"DATABASE_URL": database_url(), "JOB_LEASE_SECONDS": "2", "PYTHONWARNINGS": "ignore"}
    return {name: value for name, value in {**os.environ, **own, **variables}.items() if value is not None}


class Processes:
    """The processes of one test."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._started: list[subprocess.Popen[bytes]] = []

    def start(self, *command: str, **variables: str | None) -> subprocess.Popen[bytes]:
        """Start Python with these arguments; see ``start_program``."""
        return self.start_program(sys.executable, *command, **variables)

    def start_program(self, *command: str, **variables: str | None) -> subprocess.Popen[bytes]:
        """Start a program in a session of its own; what it says goes into a file."""
        log = (self.folder / f"said-{len(self._started)}").open("wb")
        process = subprocess.Popen(
            command,
            cwd=settings.BASE_DIR,
            env=environment(**variables),
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
        log.close()
        self._started.append(process)
        return process

    def run_jobs(self, *options: str, **variables: str | None) -> subprocess.Popen[bytes]:
        """Start ``run_jobs`` with the tests' kinds."""
        return self.start("-m", "tests.workers.with_kinds", "run_jobs", "--interval=0.05", *options, **variables)

    def said(self, process: subprocess.Popen[bytes]) -> str:
        """Return what a process has written so far."""
        return (self.folder / f"said-{self._started.index(process)}").read_text()

    def end(self) -> None:
        """Kill what still runs, whole sessions."""
        for process in self._started:
            if group_lives(process.pid):
                os.killpg(process.pid, signal.SIGKILL)
            process.wait()


def group_lives(pid: int) -> bool:
    """Tell whether any process of the group that ``pid`` leads is alive; the dead ones that nobody reaped are not."""
    return any(group == pid for _, _, group in _living())


def children_of(pid: int) -> list[int]:
    """Return the living children of a process."""
    return [child for child, parent, _ in _living() if parent == pid]


def _living() -> Iterator[tuple[int, int, int]]:
    """Return every living process, its parent and its group."""
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            state, parent, group, *_ = stat.read_text().rpartition(")")[2].split()
            if state != "Z":
                yield int(stat.parent.name), int(parent), int(group)


def wait_until(condition: Callable[[], object], seconds: float = PATIENCE_S) -> None:
    """Wait until the condition holds, or fail."""
    ends = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < ends, "it did not come about in time"
        time.sleep(0.03)


def free_port() -> int:
    """Return a port that nobody listens at."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        return int(taken.getsockname()[1])
