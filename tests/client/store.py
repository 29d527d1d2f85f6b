"""What a device keeps of one person: outbox, sent box, its copy of the book and the place where that ends.

One SQLite file. What belongs together is written in one transaction of it: an entry and its number, the answers to a
push, the states of a pull and the cursor behind them. So a device that dies at any moment goes on where it was.
"""

import json
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from tests.client.pages import Page

KEPT_FOR = timedelta(days=30)
"""How long the sent box keeps an entry after a pull has passed it: as far back as the service may be restored."""

TABLES = """
CREATE TABLE IF NOT EXISTS kept (name TEXT PRIMARY KEY, value);
CREATE TABLE IF NOT EXISTS entries (
    place INTEGER PRIMARY KEY AUTOINCREMENT, mid TEXT NOT NULL UNIQUE, n INTEGER NOT NULL UNIQUE, tx TEXT,
    said TEXT NOT NULL, result TEXT, seq INTEGER, passed_at TEXT
);
CREATE INDEX IF NOT EXISTS outbox ON entries (n) WHERE result IS NULL;
CREATE TABLE IF NOT EXISTS records (
    id TEXT PRIMARY KEY, type TEXT NOT NULL, rev INTEGER NOT NULL, says TEXT
);
CREATE TABLE IF NOT EXISTS staged (place INTEGER PRIMARY KEY AUTOINCREMENT, put TEXT NOT NULL);
"""


@dataclass(frozen=True)
class Entered:
    """Something a person did: what is said of it, and its number in the outbox."""

    n: int
    mid: str
    tx: str | None
    said: dict[str, Any]

    def told(self) -> dict[str, Any]:
        """Return it as it is sent."""
        return self.said | {"n": self.n}


@dataclass(frozen=True)
class Copy:
    """A record as the device last saw it; ``says`` is None once its content was erased."""

    id: str
    type: str
    rev: int
    says: dict[str, Any] | None


def store_for(folder: Path, group: str, person: str) -> Path:
    """Return where a device keeps what is one person's in one group: nobody else's outbox is in the same file."""
    return folder / f"{group}-{person}.sqlite3"


class Store:
    """The file of one person on one device."""

    def __init__(self, place: str | Path) -> None:
        self.db = sqlite3.connect(place, isolation_level=None)
        self.db.execute("PRAGMA synchronous=FULL")
        self.db.executescript(TABLES)

    @contextmanager
    def at_once(self) -> Iterator[None]:
        """Write all of this or nothing."""
        self.db.execute("BEGIN IMMEDIATE")
        try:
            yield
            self.db.execute("COMMIT")
        except BaseException:
            self.db.execute("ROLLBACK")
            raise

    # -- single values -----------------------------------------------------------------------------

    def __getitem__(self, name: str) -> Any:
        """Return a value that is kept; None if there is none."""
        row = self.db.execute("SELECT value FROM kept WHERE name = ?", [name]).fetchone()
        return row[0] if row else None

    def keep(self, **values: Any) -> None:
        """Keep these values."""
        self.db.executemany("INSERT OR REPLACE INTO kept VALUES (?, ?)", values.items())

    # -- outbox and sent box -----------------------------------------------------------------------

    def enter(self, said: dict[str, Any], tx: str | None) -> None:
        """Put something into the outbox under the next number."""
        with self.at_once():
            n = (self["last_n"] or 0) + 1
            row = (said["mid"], n, tx, json.dumps(said))
            self.db.execute("INSERT INTO entries (mid, n, tx, said) VALUES (?, ?, ?, ?)", row)
            self.keep(last_n=n)

    def outbox(self, most: int | None = None) -> list[Entered]:
        """Return what has no outcome yet, by number: ``most`` at most, but never part of a transaction."""
        rows = self.db.execute("SELECT n, mid, tx, said FROM entries WHERE result IS NULL ORDER BY n").fetchall()
        end = len(rows) if most is None else _whole_txs([tx for _, _, tx, _ in rows], most)
        return [Entered(n, mid, tx, json.loads(said)) for n, mid, tx, said in rows[:end]]

    def acknowledged_n(self) -> int:
        """Return the highest number that has an outcome."""
        (n,) = self.db.execute("SELECT max(n) FROM entries WHERE result IS NOT NULL").fetchone()
        return n or 0

    def sent_box(self) -> list[tuple[str, dict[str, Any]]]:
        """Return what has an outcome: its id and the outcome, by number."""
        rows = self.db.execute("SELECT mid, result FROM entries WHERE result IS NOT NULL ORDER BY n")
        return [(mid, json.loads(result)) for mid, result in rows]

    def entered(self) -> dict[str, dict[str, Any]]:
        """Return everything in the outbox and the sent box: id -> what was said."""
        return {mid: json.loads(said) for mid, said in self.db.execute("SELECT mid, said FROM entries")}

    def answer(self, results: Sequence[dict[str, Any]], head: int) -> int:
        """Keep outcomes: what has one moves to the sent box. Return how many moved."""
        with self.at_once():
            moved = 0
            for result in results:
                row = (json.dumps(result), result.get("seq", head), result["mid"])
                done = self.db.execute("UPDATE entries SET result = ?, seq = ? WHERE mid = ? AND result IS NULL", row)
                moved += done.rowcount
        return moved

    def send_again(self, n: int = 0) -> bool:
        """Put the sent box back into the outbox from a number on; tell whether that number is here."""
        self.db.execute("UPDATE entries SET result = NULL, seq = NULL, passed_at = NULL WHERE n >= ?", [n])
        return self.db.execute("SELECT 1 FROM entries WHERE n = ?", [n]).fetchone() is not None

    def number_anew(self, device: str, token: str) -> None:
        """Go on as another device: everything here is numbered from 1, in its order, and sent again under its id."""
        with self.at_once():
            places = [place for (place,) in self.db.execute("SELECT place FROM entries ORDER BY place")]
            self.db.execute("UPDATE entries SET n = -place, result = NULL, seq = NULL, passed_at = NULL")
            numbered = [(n, place) for n, place in enumerate(places, 1)]
            self.db.executemany("UPDATE entries SET n = ? WHERE place = ?", numbered)
            self.keep(device=device, token=token, last_n=len(places))

    # -- the copy of the book ----------------------------------------------------------------------

    def stage(self, page: Page) -> None:
        """Lay a page aside, with the place where it ends; nothing of it is read before the last one is here."""
        with self.at_once():
            rows = [[json.dumps(put)] for put in page.puts]
            self.db.executemany("INSERT INTO staged (put) VALUES (?)", rows)
            self.keep(staged_cursor=page.cursor)
            if not page.more:
                self._take_staged(page)

    def _take_staged(self, page: Page) -> None:
        """Apply everything that was laid aside, and move the cursor behind it."""
        for (text,) in self.db.execute("SELECT put FROM staged ORDER BY place").fetchall():
            self._apply(json.loads(text))
        self.db.execute("DELETE FROM staged")
        if self["epoch"] not in (None, page.epoch):
            self.send_again()
        self._pass(page)
        self.keep(
            cursor=page.cursor, staged_cursor=None, epoch=page.epoch, head=page.head, head_hash=page.head_hash,
        )  # fmt: skip

    def _apply(self, put: dict[str, Any]) -> None:
        """Take a state, unless a newer one of that record is here."""
        says = None if put["d"] is None else canonical(put["d"])
        self.db.execute(
            "INSERT INTO records VALUES (?, ?, ?, ?) ON CONFLICT (id) DO UPDATE SET "
            "type = excluded.type, rev = excluded.rev, says = excluded.says WHERE excluded.rev >= records.rev",
            [put["id"], put["t"], put["r"], says],
        )

    def _pass(self, page: Page) -> None:
        """Note what this pull has passed, and forget what one passed long ago: by the clock of the service alone."""
        self.db.execute(
            "UPDATE entries SET passed_at = ? WHERE passed_at IS NULL AND result IS NOT NULL AND seq <= ?",
            [page.server_time, page.head],
        )
        old = instant(datetime.fromisoformat(page.server_time) - KEPT_FOR)
        self.db.execute("DELETE FROM entries WHERE passed_at < ?", [old])

    def drop_staged(self) -> None:
        """Forget what was laid aside."""
        with self.at_once():
            self.db.execute("DELETE FROM staged")
            self.keep(staged_cursor=None)

    def empty_copy(self) -> None:
        """Forget the copy and where it ended. Outbox and sent box stay."""
        with self.at_once():
            self.db.execute("DELETE FROM records")
            self.db.execute("DELETE FROM staged")
            self.keep(cursor=None, staged_cursor=None, head=None, head_hash=None)

    def record(self, id: str) -> Copy | None:
        """Return a record as it was last seen."""
        row = self.db.execute("SELECT id, type, rev, says FROM records WHERE id = ?", [id]).fetchone()
        return Copy(*row[:3], json.loads(row[3]) if row[3] else None) if row else None

    def records(self) -> dict[str, tuple[str, int, str | None]]:
        """Return the whole copy: id -> (type, rev, the canonical text of what it says)."""
        rows = self.db.execute("SELECT id, type, rev, says FROM records")
        return {id: (type, rev, says) for id, type, rev, says in rows}


def _whole_txs(txs: list[str | None], most: int) -> int:
    """Return how many of these make ``most`` or fewer without parting a transaction; the first one is always whole."""
    if not txs:
        return 0
    joins = [i > 0 and tx is not None and tx == txs[i - 1] for i, tx in enumerate(txs)] + [False]
    end = min(most, len(txs))
    while end > 0 and joins[end]:
        end -= 1
    return end or joins.index(False, 1)


def canonical(says: dict[str, Any]) -> str:
    """Return the one text of a content: the text that the book's hash is made of."""
    return json.dumps(says, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def instant(moment: datetime) -> str:
    """Return a moment in the form of the service's: sorted as text it is sorted by time."""
    return moment.strftime("%Y-%m-%dT%H:%M:%S.%fZ")
