"""Run the whole service: ``manage.py start``."""

import os
import socket
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection
from django.utils import timezone

from stewardship.accounts.models import Group
from stewardship.sync.demo import DEMO_PASSWORD
from workers import founding, web_server
from workers.children import ChildDied, Children

CELERY = ("-m", "celery", "--app=workers.celery", "--quiet")


class Command(BaseCommand):
    """Prepares the database, then runs web server and worker until it is told to end."""

    help = "Run the service: web server and worker, until Ctrl-C."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take address, data folder and whether to begin without the demo."""
        parser.add_argument("--port", type=_port, default=8000, help="default 8000")
        parser.add_argument("--host", default="127.0.0.1", help="address to listen at; default 127.0.0.1")
        parser.add_argument("--data", help="the data folder; default .data, or DATA_DIR")
        parser.add_argument("--empty", action="store_true", help="begin with a group of your own, without the demo")

    def handle(self, *, port: int, host: str, data: str | None, empty: bool, **options: Any) -> None:
        """Run the service."""
        _refuse_what_cannot_run(host, port, data)
        self._prepare(empty)
        accounts = founding.demo_accounts()
        _let_go_of_the_database()
        children = Children(_environment(host, port))
        children.heed_signals()
        try:
            for name, command in _commands(host, port).items():
                children.start(name, [sys.executable, *command])
            if children.run_until(web_server.Answering(host, port)):
                self._tell(host, port, accounts)
                children.run_until(lambda: False)
            self._say("Ending. A running job is finished first; a second Ctrl-C ends it at once.")
        except ChildDied as died:
            raise CommandError(str(died)) from None
        finally:
            children.end()

    def _prepare(self, empty: bool) -> None:
        self._say("Preparing the database.")
        try:
            call_command("migrate", verbosity=0, interactive=False)
        except DatabaseError as error:
            raise CommandError(f"The database cannot be used: {error}") from error
        if not Group.objects.exists():
            self._begin(empty)
        elif founding.demo_is_unfinished():
            self._load_demo()
        founding.add_reference(timezone.now())

    def _begin(self, empty: bool) -> None:
        if empty:
            group = founding.found(os.environ, timezone.now())
            self._say(f"The group {group.name} has been founded.")
        else:
            self._load_demo()

    def _load_demo(self) -> None:
        self._say("Loading the demo.")
        call_command("load_demo")

    def _tell(self, host: str, port: int, accounts: list[str]) -> None:
        self._say(f"The service answers at http://{web_server.reachable(host, brackets=True)}:{port}/")
        if accounts:
            self._say(f"Demo accounts: {', '.join(accounts)}; the password of each is {DEMO_PASSWORD}")
        self._say(f"Records are kept in {_told_place()}. Ctrl-C ends the service.")

    def _say(self, sentence: str) -> None:
        self.stdout.write(sentence)
        self.stdout.flush()


def _port(text: str) -> int:
    port = int(text)
    if not 1 <= port <= 65535:
        raise ValueError(text)
    return port


def _refuse_what_cannot_run(host: str, port: int, data: str | None) -> None:
    if os.name == "nt":
        raise CommandError("The web server does not run on Windows. Use the Windows Subsystem for Linux.")
    if data is not None and Path(data).absolute() != settings.DATA_DIR:
        raise CommandError("Give the data folder as: python3 manage.py start --data DIR")
    try:
        family, *_, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        socket.create_server(address[:2], family=family).close()
    except OSError as error:
        raise CommandError(
            f"Port {port} of {host} cannot be used: {error.strerror or error}. Another one: start --port N"
        ) from None


def _environment(host: str, port: int) -> dict[str, str]:
    path = os.pathsep.join(filter(None, [str(settings.BASE_DIR), os.environ.get("PYTHONPATH")]))
    own = {"DATA_DIR": str(settings.DATA_DIR), "PYTHONPATH": path}
    site = {"SITE_URL": f"http://{web_server.reachable(host, brackets=True)}:{port}"}  # unless another is set
    return {**site, **os.environ, **own, "DJANGO_SETTINGS_MODULE": "stewardship.settings"}


def _commands(host: str, port: int) -> dict[str, tuple[str, ...]]:
    web = web_server.command(host, port, connection.vendor)
    if not settings.REDIS_URL:
        return {"web server": web, "worker": ("-m", "django", "run_jobs")}
    return {
        "web server": web,
        "worker": (*CELERY, "worker", "--loglevel=warning", "--concurrency=2"),
        "clock of the workers": (*CELERY, "beat", "--loglevel=warning"),
    }


def _let_go_of_the_database() -> None:
    connection.close()
    if connection.vendor == "postgresql":
        connection.close_pool()


def _told_place() -> str:
    database = connection.settings_dict
    if connection.vendor == "sqlite":
        return str(database["NAME"])
    return f"the PostgreSQL database {database['NAME']} at {database['HOST'] or 'this machine'}"
