"""The web server and a PostgreSQL cluster as children of a test: started as in production, killed by id, reaped."""

import os
import pwd
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from random import Random

from django.db import connection, connections

from tests.processes import Processes, children_of, free_port, group_lives, wait_until
from tests.services import programs
from workers import web_server

OWNER = "postgres"
"""Who runs the cluster where the tests run as root: PostgreSQL refuses to."""


class Web:
    """The web server that ``manage.py start`` starts, at a port of its own that stays the same."""

    def __init__(self, processes: Processes) -> None:
        self.processes, self.port = processes, free_port()
        self._command = web_server.command("127.0.0.1", self.port, connection.vendor)
        self.start()

    def start(self) -> None:
        """Start it."""
        self.master = self.processes.start(*self._command, DJANGO_SETTINGS_MODULE="stewardship.settings")

    def wait_until_it_answers(self) -> None:
        """Wait until it answers."""
        wait_until(web_server.Answering("127.0.0.1", self.port), web_server.START_UP_S)

    def kill_a_worker(self, random: Random) -> None:
        """Kill one of the processes that answer; the master puts another in its place."""
        if workers := children_of(self.master.pid):
            _kill(random.choice(workers))

    def kill_the_master(self, random: Random) -> None:
        """Kill the master alone; its workers go on until they notice, then all begin anew."""
        self.master.kill()
        self._begin_anew()

    def kill_all(self, random: Random) -> None:
        """Kill master and workers at one blow."""
        os.killpg(self.master.pid, signal.SIGKILL)
        self._begin_anew()

    def _begin_anew(self) -> None:
        self.master.wait()
        wait_until(lambda: not group_lives(self.master.pid))
        self.start()


class Cluster:
    """A PostgreSQL cluster at a port of its own, in a folder that only its owner reads."""

    def __init__(self, processes: Processes) -> None:
        self.processes, self.port = processes, free_port()
        self.folder = Path(tempfile.mkdtemp(prefix="cluster-"))
        self._as_owner: tuple[str, ...] = ()
        if os.geteuid() == 0:
            owner = pwd.getpwnam(OWNER)
            os.chown(self.folder, owner.pw_uid, owner.pw_gid)
            self._as_owner = ("setpriv", f"--reuid={owner.pw_uid}", f"--regid={owner.pw_gid}", "--clear-groups")
        program("initdb", f"--pgdata={self.folder}/data", f"--username={OWNER}", "--auth=trust", "--encoding=UTF8",
                "--no-sync", before=self._as_owner)  # fmt: skip
        self.start()

    def start(self) -> None:
        """Start it, as often as it takes: what one that was killed left behind goes away by itself."""
        wait_until(self._starts)

    def _starts(self) -> bool:
        self.postmaster = self.processes.start_program(
            *self._as_owner, str(programs() / "postgres"), "-D", f"{self.folder}/data", "-p", str(self.port),
            "-h", "127.0.0.1", "-k", str(self.folder), "-c", "shared_buffers=32MB", "-c", "max_connections=60",
        )  # fmt: skip
        wait_until(lambda: self.is_ready() or self.postmaster.poll() is not None)
        return self.postmaster.poll() is None

    def is_ready(self) -> bool:
        """Tell whether it takes connections."""
        told = ("-q", "-h", "127.0.0.1", "-p", str(self.port))
        return subprocess.run([programs() / "pg_isready", *told], check=False).returncode == 0

    def kill_a_backend(self, random: Random) -> None:
        """Kill one of its processes; the postmaster ends all others and recovers."""
        if backends := children_of(self.postmaster.pid):
            _kill(random.choice(backends))

    def kill_the_postmaster(self, random: Random) -> None:
        """Kill the postmaster alone; it is reaped, since its lock is not free before, and begins anew."""
        self.postmaster.kill()
        self.postmaster.wait()
        self.start()

    def kill_all(self, random: Random) -> None:
        """Kill every process of it at one blow."""
        self._end()
        self.start()

    def remove(self) -> None:
        """End it and take its folder away."""
        self._end()
        shutil.rmtree(self.folder)

    def _end(self) -> None:
        os.kill(self.postmaster.pid, signal.SIGSTOP)  # so that it starts no other meanwhile
        for pid in (*children_of(self.postmaster.pid), self.postmaster.pid):
            _kill(pid)
        self.postmaster.wait()


def _kill(pid: int) -> None:
    with suppress(ProcessLookupError):  # it ended by itself just now
        os.kill(pid, signal.SIGKILL)


@contextmanager
def working_in(cluster: Cluster) -> Iterator[None]:
    """Let this process, and what it starts, work on a copy of the test's database in a cluster."""
    told = connection.settings_dict
    before = {name: told[name] for name in ("NAME", "USER", "PASSWORD", "HOST", "PORT")}
    _let_go()
    source = [f"--host={before['HOST']}", f"--port={before['PORT'] or 5432}", f"--username={before['USER']}"]
    copy = program("pg_dump", *source, before["NAME"], PGPASSWORD=before["PASSWORD"])
    here = ("--host=127.0.0.1", f"--port={cluster.port}", f"--username={OWNER}")
    program("psql", *here, "--quiet", "--set=ON_ERROR_STOP=1", "--output=/dev/null", said=copy)
    told |= {"NAME": OWNER, "USER": OWNER, "PASSWORD": "", "HOST": "127.0.0.1", "PORT": cluster.port}
    try:
        yield
    finally:
        _let_go()
        told |= before


def _let_go() -> None:
    connections.close_all()
    connection.close_pool()


def program(name: str, *arguments: str, before: tuple[str, ...] = (), said: bytes = b"", **variables: str) -> bytes:
    """Run one of PostgreSQL's programs and return what it writes."""
    command = [*before, str(programs() / name), *arguments]
    return subprocess.run(command, input=said, env=os.environ | variables, capture_output=True, check=True).stdout
