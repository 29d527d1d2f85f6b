"""Measure the speed of the service beside the floor of its database: ``manage.py bench sync``."""

import os
import signal
import sys
from argparse import ArgumentParser
from collections.abc import Iterator
from tempfile import TemporaryDirectory
from typing import Any

import orjson
import psycopg
from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from workers.bench import sync
from workers.bench.databases import BenchFailed, PostgresqlDatabases, SqliteFiles
from workers.bench.timing import Result, table
from workers.children import ChildDied


class Command(BaseCommand):
    """Measures on databases of its own, which it makes and removes: no record of a group is read or written."""

    help = "Measure push and pull over HTTP beside the floor of the database, on SQLite and PostgreSQL."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take what is measured, where and how much."""
        size = sync.Size()
        parser.add_argument("what", choices=["sync"])
        parser.add_argument("--engine", choices=["sqlite", "postgresql"], help="only this one; default: both")
        parser.add_argument("--postgresql", metavar="URL", help="a server to measure on; default: that of DATABASE_URL")
        parser.add_argument("--json", action="store_true", help="tell one JSON object a line")
        parser.add_argument(
            "--turns", type=int, default=size.turns, help="how often each is timed; default %(default)s"
        )
        parser.add_argument("--short", type=int, default=size.short, help="revisions of a book; default %(default)s")
        parser.add_argument("--long", type=int, default=size.long, help="of a long one; default %(default)s")

    def handle(self, *, engine: str | None, postgresql: str | None, json: bool, **options: Any) -> None:
        """Measure, and tell."""
        before = signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))  # so that the databases are removed
        try:
            self._measure(engine, postgresql or _postgresql_of_the_settings(), json=json, **options)
        except (BenchFailed, ChildDied, psycopg.OperationalError) as failed:
            raise CommandError(str(failed)) from None
        finally:
            signal.signal(signal.SIGTERM, before)

    def _measure(self, engine: str | None, url: str | None, *, json: bool, **options: Any) -> None:
        size = sync.Size(options["short"], options["long"], options["turns"])
        results: list[Result] = []
        for result in self._results(engine, url, size):
            results.append(result)
            if json:
                self.stdout.write(orjson.dumps(result.told()).decode())
                self.stdout.flush()
        if not json:
            self.stdout.write(table(results))

    def _results(self, engine: str | None, url: str | None, size: sync.Size) -> Iterator[Result]:
        if engine != "postgresql":
            with _folder() as folder:
                yield from sync.measure(SqliteFiles(folder), size, self._say)
        if engine == "sqlite":
            return
        if url is None:
            self._say("POSTGRESQL WAS LEFT OUT: name a server with --postgresql or DATABASE_URL, and it is measured.")
            return
        with _folder() as folder:
            databases = PostgresqlDatabases(url, folder)
            try:
                for setting in databases.unsynced():
                    self._say(f"THIS SERVER DOES NOT SYNC ITS DISK ({setting}): its floor and its times are too low.")
                yield from sync.measure(databases, size, self._say)
            finally:
                databases.remove()

    def _say(self, sentence: str) -> None:
        self.stderr.write(sentence)
        self.stderr.flush()


def _folder() -> TemporaryDirectory[Any]:
    """Return a folder that is removed with all in it, on the disk of the data folder: that is the one to be synced."""
    return TemporaryDirectory(prefix="bench-", dir=settings.DATA_DIR)


def _postgresql_of_the_settings() -> str | None:
    url = os.environ.get("DATABASE_URL", "")
    return url if url.startswith(("postgres://", "postgresql://")) else None
