"""Databases of the measurement's own: made beside those that exist, copied, and removed at its end."""

import os
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import urlsplit, urlunsplit

import orjson
import psycopg
from django.conf import settings
from psycopg import sql

from stewardship.journal.checks import sqlite_set_up

MUCH = str(10**12)
"""As much may be handed in within an hour as the measurement needs."""

KEPT_OPEN = "--keep-alive=600"
"""A phone's connection outlasts the floors that are measured between two of its requests [s]."""


class BenchFailed(Exception):
    """Something that the measurement rests on did not work."""


class Database(NamedTuple):
    """One database, by its engine and the URL under which the service finds it."""

    engine: str
    url: str
    folder: Path

    def environment(self) -> dict[str, str]:
        """Return the environment of a process of the service that works on this database and on no other."""
        own = {
            "DATABASE_URL": self.url, "DATA_DIR": str(self.folder), "REDIS_URL": "", "DEBUG": "off", "HTTPS": "off",
            "SYNC_MUTATIONS_AN_HOUR": MUCH, "SYNC_BYTES_AN_HOUR": MUCH, "ALLOWED_HOSTS": "*",
            "DJANGO_SETTINGS_MODULE": "stewardship.settings", "GUNICORN_CMD_ARGS": KEPT_OPEN,
        }  # fmt: skip
        path = os.pathsep.join(filter(None, [str(settings.BASE_DIR), os.environ.get("PYTHONPATH")]))
        return {**os.environ, **own, "PYTHONPATH": path}

    def run(self, module: str, *arguments: Any) -> Any:
        """Run a module of the service on this database, and return what it tells as JSON. Raises BenchFailed."""
        command = [sys.executable, "-m", module, *map(str, arguments)]
        done = subprocess.run(command, env=self.environment(), stdout=subprocess.PIPE, check=False)
        if done.returncode:
            raise BenchFailed(f"{module} ended with exit code {done.returncode}; what it said stands above.")
        return orjson.loads(done.stdout)

    def connect(self) -> Any:
        """Return a bare connection, without a transaction begun, that syncs like one of the service."""
        if self.engine == "postgresql":
            return psycopg.connect(self.url, autocommit=True)
        connection = sqlite3.connect(_path(self.url), isolation_level=None)
        connection.executescript(sqlite_set_up(sqlite3.sqlite_version_info))
        return connection

    def settle(self) -> None:
        """Count what is in the tables, as a PostgreSQL in use does by itself within minutes: it plans by that."""
        if self.engine == "postgresql":
            with self.connect() as connection:
                connection.execute("ANALYZE")


class SqliteFiles:
    """SQLite databases as files in a folder; they go with it."""

    engine = "sqlite"

    def __init__(self, folder: str) -> None:
        self.folder = Path(folder)

    def make(self, name: str) -> Database:
        """Make an empty one."""
        return Database(self.engine, f"sqlite:///{self.folder / name}.sqlite3", self.folder)

    def copy(self, database: Database, name: str) -> Database:
        """Copy one that nobody uses at the moment."""
        made = self.make(name)
        shutil.copyfile(_path(database.url), _path(made.url))
        return made


class PostgresqlDatabases:
    """Databases on the server that a URL names, beside the one in it, which is not touched and need not exist."""

    engine = "postgresql"

    def __init__(self, url: str, folder: str) -> None:
        self.parts, self.folder = urlsplit(url), Path(folder)
        self.made: list[str] = []
        self.server = psycopg.connect(self._url("postgres"), autocommit=True)

    def make(self, name: str, template: str = "template1") -> Database:
        """Make an empty one."""
        made = f"{own()}{name}"
        told = sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(sql.Identifier(made), sql.Identifier(template))
        self.server.execute(told)
        self.made.append(made)
        return Database(self.engine, self._url(made), self.folder)

    def copy(self, database: Database, name: str) -> Database:
        """Copy one that nobody uses at the moment."""
        return self.make(name, urlsplit(database.url).path.removeprefix("/"))

    def remove(self) -> None:
        """Remove all of them."""
        for name in self.made:
            self.server.execute(sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(sql.Identifier(name)))
        self.server.close()

    def unsynced(self) -> list[str]:
        """Return what keeps this server from having on its disk what it says is committed."""
        names = ("fsync", "synchronous_commit")
        told = [(name, self.server.execute(f"SHOW {name}").fetchone()) for name in names]
        return [f"{name} = off" for name, value in told if value == ("off",)]

    def _url(self, name: str) -> str:
        return urlunsplit(self.parts._replace(path=f"/{name}"))


def own() -> str:
    """Return how the names of this process's databases begin."""
    return f"bench_{os.getpid()}_"


def _path(url: str) -> str:
    return url.removeprefix("sqlite:///")
