"""Years of history, laid in set by set: records with all their revisions, sealed as an entry seals them."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from stewardship.accounts.models import Member
from stewardship.accounts.queries import actor_of
from stewardship.journal import chain, contents, rows
from stewardship.journal.ids import new_id, new_salts
from stewardship.journal.models import Book, Revision
from stewardship.places.models import Property
from stewardship.sync.pull import Cursor

REVS = 4
"""How many revisions each record gets."""

AT_ONCE = 5000
"""Records in one transaction."""


def grow(group: str, revisions: str) -> dict[str, Any]:
    """Let a group's book grow to at least so many revisions; return its head, and the cursor of who has all of it."""
    member = Member.objects.select_related("group").get(group_id=group, role="coordinator")
    book, at = Book.objects.get(group_id=group), timezone.now()
    while (missing := int(revisions) - book.head) > 0:
        with transaction.atomic():
            _lay_in(book, member.person_id, at, min(AT_ONCE, -(-missing // REVS)))
    audiences = actor_of(member).audiences()
    cursor = Cursor(group, str(book.epoch), book.head, "all" if audiences is None else " ".join(audiences))
    return {"head": book.head, "cursor": cursor.text()}


def _lay_in(book: Book, by: UUID, at: datetime, count: int) -> None:
    made = [
        Property(id=new_id(), group_id=book.group_id, name=f"Fen {i}", rev=REVS, entered_by_id=by, entered_at=at)
        for i in range(count)
    ]
    lines = []
    for rev in range(1, REVS + 1):
        for record, salt in zip(made, new_salts(count), strict=True):
            record.note = f"seen {rev} times"
            lines.append(_sealed(book, record, rev, salt))
    rows.insert(Property, [[getattr(record, f.attname) for f in Property._meta.concrete_fields] for record in made])
    rows.insert(Revision, lines)
    book.save()


def _sealed(book: Book, record: Property, rev: int, salt: str) -> tuple[Any, ...]:
    book.head += 1
    content, op = contents.canonical(record.content()), "create" if rev == 1 else "amend"
    told = chain.Told(
        book.group_id, record.kind, record.id, rev, op, new_id(), record.entered_by_id, None,
        record.entered_at, "", record.audience(),
    )  # fmt: skip
    content_hash = chain.content_hash(salt, content)
    book.head_hash = chain.seal(book.head_hash, book.head, told, content_hash)
    return (book.group_id, book.head, *told[1:], content, salt, content_hash, book.head_hash)
