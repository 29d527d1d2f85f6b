"""Pull: what changed in the book since a device's cursor, for what its person may see."""

from dataclasses import dataclass
from typing import Any
from zlib import crc32

import orjson
from django.core import signing
from django.db.models import Func, TextField

from stewardship.accounts.capabilities import Actor
from stewardship.errors import RuleViolation
from stewardship.journal.models import Book, Revision
from stewardship.sync.rewinding import Head, check_head, rewound

SCHEMA = 1
PAGE = 2000
"""Rows in a page, at most."""

GZIP_LEVEL = 5
"""How hard a page is compressed for whoever takes it so."""

POLL_AFTER_S, SPREAD_S = 900, 180
"""When a device asks again that has everything, and how much sooner or later, so that not all ask at once [s]."""

_signer = signing.Signer(salt="stewardship.sync.cursor")


class CursorUnreadable(RuleViolation):
    """A cursor is only what an earlier pull gave."""

    code = "cursor_unreadable"
    message = "This is no place in the book that we gave out. Pull from the beginning."
    where = "cursor"


class CursorGone(RuleViolation):
    """What the cursor counted is not what the person may see now."""

    code = "cursor_gone"
    message = "What you may see has changed. Empty this copy and pull from the beginning; keep what is not sent yet."


@dataclass(frozen=True)
class Cursor:
    """A place in a group's book, for a set of audiences."""

    group: str
    epoch: str
    seq: int
    audiences: str
    schema: int = SCHEMA

    def text(self) -> str:
        """Return the signed text that a device keeps."""
        return "v1." + _signer.sign_object([self.group, self.epoch, self.seq, self.audiences, self.schema])

    @classmethod
    def read(cls, text: str) -> "Cursor":
        """Return the place that a signed text names. Raises CursorUnreadable."""
        try:
            return cls(*_signer.unsign_object(text.removeprefix("v1.")))
        except (signing.BadSignature, ValueError, TypeError) as error:
            raise CursorUnreadable from error


def pull(
    cursor_text: str | None, *, actor: Actor, limit: int = PAGE, server_time: str, remembered: Head | None = None
) -> bytes:
    """Return one page as NDJSON: a start line, the states since the cursor in the order of the book, an end line.

    ``remembered``: the book's end as the device saw it last. Raises CursorUnreadable, CursorGone, BookRewound.
    """
    book = Book.objects.get(group_id=actor.group_id)
    start = _beginning(cursor_text, actor, book)
    if remembered:
        check_head(book, remembered)
    found = _changes(actor, start.seq, book.head, limit)
    more = len(found) > limit
    page = found[:limit]
    end = Cursor(start.group, start.epoch, page[-1][0] if more else book.head, start.audiences)
    first = {"k": "start", "epoch": start.epoch, "schema": SCHEMA, "server_time": server_time}
    last = _end(end, more, book) | {"poll_after_s": 0 if more else _poll_after_s(actor, server_time)}
    return b"".join([_line(first), "".join(_puts(page)).encode(), _line(last)])


def _beginning(text: str | None, actor: Actor, book: Book) -> Cursor:
    """Return where to go on. Raises CursorUnreadable, CursorGone, BookRewound."""
    now = Cursor(str(actor.group_id), str(book.epoch), 0, _audiences(actor))
    if text is None:
        return now
    cursor = Cursor.read(text)
    if cursor.group != now.group:
        raise CursorUnreadable
    if (cursor.epoch, cursor.audiences, cursor.schema) != (now.epoch, now.audiences, now.schema):
        raise CursorGone
    if cursor.seq > book.head:
        raise rewound(book, cursor.seq)
    return cursor


def _audiences(actor: Actor) -> str:
    audiences = actor.audiences()
    return "all" if audiences is None else " ".join(audiences)


def _changes(actor: Actor, after: int, head: int, limit: int) -> list[tuple[Any, ...]]:
    """Return the next revisions up to the head that was read before them."""
    revisions = Revision.objects.filter(group_id=actor.group_id, seq__gt=after, seq__lte=head)
    if (audiences := actor.audiences()) is not None:
        revisions = revisions.filter(audience__in=audiences)
    columns = revisions.order_by("seq").values_list("seq", "kind", _AsText("record_id"), "rev", "content")
    return list(columns[: limit + 1])


class _AsText(Func):
    """An id as it is told, without a UUID made of it on the way."""

    output_field = TextField()
    template = "CAST(%(expressions)s AS text)"

    def as_sqlite(self, compiler: Any, connection: Any, **context: Any) -> Any:
        """Put the dashes in: there an id is kept as 32 digits."""
        parts = [f"substr(%(expressions)s, {first}, {count})" for first, count in _PARTS_OF_AN_ID]
        return self.as_sql(compiler, connection, template=" || '-' || ".join(parts), **context)


_PARTS_OF_AN_ID = ((1, 8), (9, 4), (13, 4), (17, 4), (21, 12))
"""RFC 9562, section 4: first digit and how many."""


def _puts(page: list[tuple[Any, ...]]) -> list[str]:
    """Return the lines of a page in pieces: the content of a record is long, and is copied once, at the end."""
    pieces: list[str] = []
    for seq, kind, record_id, rev, content in page:
        pieces += (f'{{"k":"put","q":{seq},"t":"{kind}","id":"{record_id}","r":{rev},"d":', content or "null", "}\n")
    return pieces


def _line(told: dict[str, Any]) -> bytes:
    return orjson.dumps(told, option=orjson.OPT_APPEND_NEWLINE)


def _end(cursor: Cursor, more: bool, book: Book) -> dict[str, Any]:
    return {"k": "end", "cursor": cursor.text(), "more": more, "head": book.head, "head_hash": book.head_hash}


def _poll_after_s(actor: Actor, server_time: str) -> int:
    """Return in how many seconds to ask again: for each person at another moment, and not always the same."""
    place = crc32(f"{actor.person_id} {server_time}".encode())
    return POLL_AFTER_S - SPREAD_S + place % (2 * SPREAD_S + 1)
