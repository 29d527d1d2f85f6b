"""``manage.py start`` as a real process, on a data folder and a port of its own."""

import contextlib
import http.client
import os
import signal
import socket
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connection

from tests.database import lay_out_built
from tests.processes import free_port, wait_until
from workers.management.commands import start

FOUNDER = {
    "GROUP_NAME": "Heron Bend Crew",
    "GROUP_TIME_ZONE": "America/Chicago",
    "FIRST_COORDINATOR_EMAIL": "first@heron.example",
    "FIRST_COORDINATOR_PASSWORD": "a-long-enough-phrase",
}
NOBODY = dict.fromkeys(FOUNDER)


@pytest.fixture
def service(request, processes, tmp_path):
    """Start the service; on SQLite its database stands in its own data folder, on PostgreSQL it is the test's.

    Unless it ``begins_from_nothing``, its tables stand already, as empty as the migrations left them.
    """
    engine = {"DATABASE_URL": None} if connection.vendor == "sqlite" else {}

    class Service:
        port, data = free_port(), tmp_path / "data"
        begins_from_nothing = False

        def start(self, *options, **variables):
            if not (self.begins_from_nothing or self.data.exists()):
                self.data.mkdir()
                lay_out_built(request.config.cache.mkdir("databases"), self.data / "stewardship.sqlite3")
            options = ("--port", str(self.port), "--data", str(self.data), *options)
            variables = {"REDIS_URL": None, **engine, **variables}
            self.process = processes.start("manage.py", "start", *options, **variables)

        def said(self):
            return processes.said(self.process)

        def is_ready(self):
            assert self.process.poll() is None, self.said()
            return "The service answers" in self.said()

        def pids(self):
            """Return every living process of this data folder: all of them have it in their environment."""
            marks = f"DATA_DIR={self.data}\0".encode()
            return [int(path.parent.name) for path in Path("/proc").glob("[0-9]*/environ") if marks in told(path)]

        def get(self, path):
            server = http.client.HTTPConnection("127.0.0.1", self.port, timeout=10)
            with contextlib.closing(server):
                server.request("GET", path)
                answer = server.getresponse()
                return answer.status, answer.read()

    started = Service()
    yield started
    processes.end()
    wait_until(lambda: started.pids() == [])


def told(path):
    try:
        return path.read_bytes()
    except OSError:
        return b""


def command_of(pid):
    return told(Path(f"/proc/{pid}/cmdline")).decode()


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_it_founds_a_group_answers_and_ends_without_orphans(service, number):
    service.begins_from_nothing = number == signal.SIGTERM
    service.start("--empty", **FOUNDER)
    wait_until(service.is_ready)

    assert service.get("/healthz") == (200, b"ok\n")
    assert "The group Heron Bend Crew has been founded." in service.said()
    assert f"http://127.0.0.1:{service.port}/" in service.said()
    assert "a-long-enough-phrase" not in service.said()
    assert (service.data / "secret_key").is_file()
    assert any("run_jobs" in command_of(pid) for pid in service.pids())

    service.process.send_signal(number)

    assert service.process.wait(40) == 0
    assert service.pids() == []


def test_without_a_word_it_loads_the_demo_and_tells_its_accounts(service):
    service.start()
    wait_until(service.is_ready, 90)

    for told in ("coordinator@demo.example", "volunteer@demo.example", "board@demo.example", "try-the-demo"):
        assert told in service.said()
    assert service.get("/healthz")[0] == 200


def test_a_second_start_on_the_same_records_asks_for_nobody(service):
    service.start("--empty", **FOUNDER)
    wait_until(service.is_ready)
    service.process.terminate()
    service.process.wait(40)

    service.start("--empty", **NOBODY)
    wait_until(service.is_ready)

    assert "founded" not in service.said()


@pytest.mark.parametrize(("part", "name"), [("gunicorn", "web server"), ("run_jobs", "worker")])
def test_if_one_process_dies_it_says_which_and_ends_the_others(service, part, name):
    service.start("--empty", **FOUNDER)
    wait_until(service.is_ready)

    leaders = [pid for pid in service.pids() if part in command_of(pid) and os.getpgid(pid) == pid]
    assert len(leaders) == 1
    os.kill(leaders[0], signal.SIGKILL)

    assert service.process.wait(40) == 1
    assert f"The {name} ended by itself (signal SIGKILL)" in service.said()
    assert service.pids() == []


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux tells children that their parent was killed")
def test_if_it_is_killed_itself_the_others_end_too(service):
    service.start("--empty", **FOUNDER)
    wait_until(service.is_ready)

    service.process.kill()

    wait_until(lambda: service.pids() == [])


@pytest.mark.needs_redis
def test_with_redis_celery_does_the_jobs(service):
    service.start("--empty", **FOUNDER, REDIS_URL=settings.REDIS_URL)
    wait_until(service.is_ready)

    commands = " ".join(command_of(pid) for pid in service.pids())
    assert "celery" in commands
    assert "beat" in commands
    assert "run_jobs" not in commands
    service.process.terminate()

    assert service.process.wait(40) == 0
    assert service.pids() == []


def test_a_taken_port_is_told_before_anything_is_prepared(service):
    with socket.create_server(("127.0.0.1", service.port)):
        service.start("--empty", **FOUNDER)

        assert service.process.wait(40) == 1

    assert f"Port {service.port} of 127.0.0.1 cannot be used: Address already in use" in service.said()
    assert "Preparing" not in service.said()
    assert "Traceback" not in service.said()


def test_an_empty_service_without_a_founder_or_a_terminal_says_what_it_needs(service):
    service.start("--empty", **NOBODY | {"GROUP_NAME": "Heron Bend Crew"})

    assert service.process.wait(40) == 1
    assert "Set GROUP_TIME_ZONE, FIRST_COORDINATOR_EMAIL, FIRST_COORDINATOR_PASSWORD" in service.said()
    assert "GROUP_NAME" not in service.said()
    assert service.pids() == []


def test_a_data_folder_that_came_too_late_is_refused(tmp_path):
    with pytest.raises(CommandError, match=r"manage\.py start --data DIR"):
        call_command("start", data=str(tmp_path))


@pytest.mark.parametrize("port", ["0", "65536", "web"])
def test_a_port_that_is_none_is_refused(port):
    with pytest.raises(CommandError, match="port"):
        call_command("start", "--port", port)


def test_a_host_that_is_not_here_is_refused(service):
    # 192.0.2.0/24 is set aside for documentation (RFC 5737): no machine has it.
    service.start("--host=192.0.2.1")

    assert service.process.wait(40) == 1
    assert f"Port {service.port} of 192.0.2.1 cannot be used" in service.said()


def test_a_terminal_sees_where_records_are_kept_without_a_password(monkeypatch):
    database = {"NAME": "ours", "HOST": "db.example", "USER": "someone", "PASSWORD": "a word"}
    monkeypatch.setattr(start, "connection", SimpleNamespace(vendor="postgresql", settings_dict=database))

    assert start._told_place() == "the PostgreSQL database ours at db.example"
