"""Push and pull under the web server, over real HTTP, beside what the database alone takes for the same bytes."""

import socket
import sys
import zlib
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from typing import Any, NamedTuple
from uuid import UUID

from stewardship.sync.pull import GZIP_LEVEL
from workers import web_server
from workers.bench.databases import Database, PostgresqlDatabases, SqliteFiles
from workers.bench.floors import FLOORS, Postgresql, Sqlite, check_alike, written
from workers.bench.phone import Phone, check_empty, check_taken, end_of, span_of
from workers.bench.timing import Result, Turn, medians, timed
from workers.children import Children

HOST = "127.0.0.1"
PUSHES = (1, 50, 500)
AIMS = {"push-500": 2.5, "pull-plain": 1.5, "pull-gzip": 1.5, "pull-nothing-new": 1.2}
NOTHING_NEW = 10
"""How often a pull of nothing new is timed in each turn: it is short."""


class Size(NamedTuple):
    """How much is measured."""

    short: int = 10_000
    """Revisions of the book that is pushed to and pulled from."""
    long: int = 1_000_000
    """Revisions of the book beside which a pull of nothing new has to take no longer."""
    turns: int = 15
    """How often each thing is timed."""


def measure(databases: SqliteFiles | PostgresqlDatabases, size: Size, say: Callable[[str], Any]) -> Iterator[Result]:
    """Give what each push and pull takes on this engine, beside its floor. Raises BenchFailed."""
    say(f"{databases.engine}: laying out a group, and a book of {size.long:,} revisions")
    short = databases.make("short")
    scene = short.run("workers.bench", "scene")
    copy, long = databases.copy(short, "copy"), databases.copy(short, "long")
    cursor = long.run("workers.bench", "history", scene["group"], size.long)["cursor"]
    with (
        _served(short) as port,
        _served(long) as other_port,
        closing(Phone(port, scene)) as phone,
        closing(Phone(other_port, scene)) as beside,
        closing(FLOORS[databases.engine](short, copy)) as floor,
    ):
        bench = _Bench(phone, beside, floor, scene)
        say(f"{databases.engine}: pushing {size.short:,} revisions")
        while bench.head < size.short:
            bench.push(max(PUSHES))
        for database in (short, copy, long):
            database.settle()
        yield from _results(bench, cursor, databases.engine, size, say)


def _results(bench: "_Bench", cursor: str, engine: str, size: Size, say: Callable[[str], Any]) -> Iterator[Result]:
    say(f"{engine}: measuring")
    bench.find_page()
    own = bench.newest()
    works: dict[str, tuple[int, Callable[[], Turn]]] = {
        "pull-nothing-new": (size.turns * NOTHING_NEW, lambda: bench.nothing_new(cursor, own)),
        "pull-plain": (size.turns, lambda: bench.pull(in_gzip=False)),
        "pull-gzip": (size.turns, lambda: bench.pull(in_gzip=True)),
        **{f"push-{count}": (size.turns, lambda count=count: bench.push(count)) for count in PUSHES},
    }
    for name, (turns, work) in works.items():
        for _ in range(1 + turns // 3):  # untimed: what is kept in memory and warm is so afterwards
            work()
        yield Result(engine, name, *medians([work() for _ in range(turns)]), AIMS.get(name))
    check_alike(bench.floor)


class _Bench:
    """A phone on a short book and one on a long book, and the floors of the former."""

    def __init__(self, phone: Phone, beside: Phone, floor: Postgresql | Sqlite, scene: dict[str, Any]) -> None:
        self.phone, self.beside, self.floor = phone, beside, floor
        self.group = UUID(scene["group"])
        self.head = end_of(self._newest_page())["head"]
        self.cursor: str | None = None

    def push(self, mutations: int) -> Turn:
        """Push, then lay the same rows into the copy."""
        body = self.phone.has_waiting(mutations)
        took_s, answer = timed(lambda: self.phone.push(body))
        rows = written(self.floor, self.group, self.head)
        floor_s, _ = timed(lambda: self.floor.lay_in(rows))
        self.head = check_taken(answer)["head"]
        return took_s, floor_s

    def find_page(self) -> None:
        """Choose the page that is pulled: the second, since the first tells of the group and its catalogue."""
        end = end_of(self.phone.pull(None))
        self.cursor = end["cursor"] if end["more"] else None

    def pull(self, *, in_gzip: bool) -> Turn:
        """Pull the page, then read the stored bytes that it is made of, and compress them where it was."""
        took_s, page = timed(lambda: self.phone.pull(self.cursor, in_gzip=in_gzip))
        first, last = span_of(page)
        floor_s, _ = timed(lambda: _in_gzip(self.floor.page(self.group, first - 1, last), in_gzip))
        return took_s, floor_s

    def newest(self) -> str:
        """Return the cursor of who has everything."""
        return str(end_of(self._newest_page())["cursor"])

    def nothing_new(self, cursor: str, own: str) -> Turn:
        """Pull nothing new from the long book and the short one, twice each: neither comes first more often."""
        long, short = lambda: self.beside.pull(cursor), lambda: self.phone.pull(own)
        (one_s, page), (two_s, *_), (three_s, other), (four_s, *_) = map(timed, (long, short, short, long))
        for each in (page, other):
            check_empty(each)
        return (one_s + four_s) / 2, (two_s + three_s) / 2

    def _newest_page(self) -> bytes:
        page = self.phone.pull(None)
        while (end := end_of(page))["more"]:
            page = self.phone.pull(end["cursor"])
        return page


def _in_gzip(stored: bytes, in_gzip: bool) -> bytes:
    return zlib.compress(stored, GZIP_LEVEL) if in_gzip else stored


@contextmanager
def _served(database: Database) -> Iterator[int]:
    """Run the web server on a database, as ``start`` runs it, and give its port."""
    with socket.create_server((HOST, 0)) as free:
        port = free.getsockname()[1]
    server = Children(database.environment())
    try:
        server.start("web server", [sys.executable, *web_server.command(HOST, port, database.engine)])
        server.run_until(web_server.Answering(HOST, port))
        yield port
    finally:
        server.end()
