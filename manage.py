#!/usr/bin/env python3
"""Run the service's commands, in an environment built from the lock: ``python3 manage.py start``.

The first part uses nothing but the standard library and runs on any Python 3. When ``.venv`` is missing or older than
``requirements.lock`` it is built from it, every package checked by its hash, and the command goes on inside it.
``test`` uses ``.venv-dev`` and ``requirements-dev.lock``; so does what ``.venv-dev/bin/python`` runs. The two stay
apart: one environment for both would be rebuilt at every switch, under a running service.
"""

import argparse
import hashlib
import importlib.util
import os
import subprocess
import sys
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows has none: there two first starts at once are not kept apart
    fcntl = None

HERE = Path(__file__).resolve().parent


class Environment:
    """A virtual environment in the tree, and the lock that it is built from."""

    def __init__(self, name, lock):
        self.folder = HERE / name
        self.lock = HERE / lock
        self.stamp = self.folder / "built-from"
        self.python = self.folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")

    def wanted_stamp(self):
        """Return what the stamp of a current environment says: lock, Python and place."""
        lock = hashlib.sha256(self.lock.read_bytes()).hexdigest()
        return f"{lock} {python_name()} {self.folder}"

    def is_current(self):
        """Tell whether the environment was built whole, from this lock, by this Python, at this place."""
        return self.python.exists() and self.stamp.exists() and self.stamp.read_text() == self.wanted_stamp()

    def is_running(self):
        """Tell whether this very process runs inside it."""
        return Path(sys.prefix).resolve() == self.folder.resolve()

    def make_current(self):
        """Build it if it is missing or stale; of two starts at once the second waits and then uses it."""
        with self.lock.open() as lock:
            if fcntl:
                fcntl.flock(lock, fcntl.LOCK_EX)
            if not self.is_current():
                self.build()

    def build(self):
        """Build it anew. The stamp is written last: what broke off half-way is built again next time."""
        missing = [name for name in ("venv", "ensurepip") if importlib.util.find_spec(name) is None]
        if missing:
            sys.exit(
                "This Python lacks {}, which builds the environment. On Debian and Ubuntu: "
                "sudo apt install python{}.{}-venv".format(" and ".join(missing), *sys.version_info[:2])
            )
        tell(f"Setting up {self.folder.name} from {self.lock.name}: half a minute, more on a slow line.")
        self.stamp.unlink(missing_ok=True)
        outer = getattr(sys, "_base_executable", None) or sys.executable
        pip = [self.python, "-m", "pip", "install", "-qq", "--disable-pip-version-check", "--no-input"]
        run([outer, "-m", "venv", "--clear", self.folder])
        run([*pip, "--require-hashes", "-r", self.lock])
        self.stamp.write_text(self.wanted_stamp())

    def enter(self):
        """Go on with the same command inside it."""
        command = [str(self.python), str(HERE / "manage.py"), *sys.argv[1:]]
        if os.name == "nt":  # there execv would hand the prompt back before the command has ended
            sys.exit(subprocess.call(command))
        sys.stdout.flush()
        os.execv(command[0], command)


def python_name():
    """Return what tells one Python from another that cannot share its packages: "cpython-3.11"."""
    return "{}-{}.{}".format(sys.implementation.name, *sys.version_info[:2])


def tell(sentence):
    """Say a sentence to the person at the terminal, outside a command's own output."""
    print(sentence, file=sys.stderr, flush=True)


def run(command):
    """Run one step of the set-up; if it fails, end with what to do."""
    if subprocess.call([str(part) for part in command]):
        sys.exit(
            "The environment could not be set up; the reason stands above. It needs a way to a package index once. "
            "Nothing half-built is used: the next start tries again."
        )


def environment_for(command):
    """Return the environment that a command runs in."""
    developer = Environment(".venv-dev", "requirements-dev.lock")
    if command == "test" or developer.is_running():
        return developer
    return Environment(".venv", "requirements.lock")


def choose_data_folder(arguments):
    """Let ``start --data DIR`` name the data folder: the settings read it before any command reads its options."""
    options = argparse.ArgumentParser(prog="manage.py start", add_help=False, allow_abbrev=False)
    options.add_argument("--data", metavar="DIR")
    known, _ = options.parse_known_args(arguments)
    if known.data:
        os.environ["DATA_DIR"] = os.path.abspath(known.data)


def main():
    """Run the command on the command line."""
    if sys.version_info < (3, 11):
        sys.exit("Python 3.11 or newer is needed; this is {}.{}.".format(*sys.version_info[:2]))
    command = sys.argv[1] if len(sys.argv) > 1 else ""
    environment = environment_for(command)
    if not (environment.is_running() and environment.is_current()):
        environment.make_current()
        environment.enter()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stewardship.settings")
    if command == "start":
        choose_data_folder(sys.argv[2:])
    if command == "test":
        from tests.run import run_tests

        sys.exit(run_tests(sys.argv[2:]))
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
