"""A book that was put back to an earlier state: found by what a device remembers, told to all by a new epoch."""

import logging
from dataclasses import dataclass
from typing import Annotated
from uuid import UUID

from msgspec import Meta

from stewardship.errors import RuleViolation
from stewardship.journal import chain
from stewardship.journal.fields import Closed
from stewardship.journal.ids import new_id
from stewardship.journal.models import Book, Revision

logger = logging.getLogger(__name__)


class BookRewound(RuleViolation):
    """What a device remembers of the book is not in it any more."""

    code = "book_rewound"
    message = (
        "The records were put back to an earlier state. Empty this copy, forget its head and pull from the beginning; "
        "keep what is not sent yet, and send again what was sent lately."
    )
    where = "head"


@dataclass(frozen=True)
class Head:
    """Where a book ended when somebody saw it: the number, and the hash that seals everything up to it."""

    seq: int
    sealed: str


class Remembers(Closed, frozen=True):
    """What may be sent of a head that somebody remembers: both halves or none."""

    head: Annotated[int, Meta(ge=0, le=1 << 53)] | None = None
    head_hash: Annotated[str, Meta(pattern="^[0-9a-f]{64}$")] | None = None

    def __post_init__(self) -> None:
        """Refuse half a head."""
        if (self.head is None) != (self.head_hash is None):
            raise ValueError("Send head and head_hash together, as the last line of a page told them.")

    def remembered(self) -> Head | None:
        """Return the head, if one was sent."""
        return None if self.head is None or self.head_hash is None else Head(self.head, self.head_hash)


def check_head(book: Book, remembered: Head) -> None:
    """Refuse a device that remembers what this book does not have: a backup was put back. Raises BookRewound."""
    if remembered.sealed != _sealed(book, remembered.seq):
        raise rewound(book, remembered.seq)


def rewound(book: Book, seq: int) -> BookRewound:
    """Return the refusal, and tell whoever runs the service: nobody else will notice."""
    logger.critical(
        "The book of group %s ends at %s, and a device remembers its number %s otherwise. "
        "If a backup was put back, run begin_epoch now; if not, run verify_book: the book was changed.",
        book.group_id, book.head, seq,
    )  # fmt: skip
    return BookRewound()


def _sealed(book: Book, seq: int) -> str | None:
    """Return the hash of a number in the book; None if it does not go so far."""
    if seq == book.head:
        return book.head_hash
    if seq == 0:
        return chain.BEGINNING
    return Revision.objects.filter(group_id=book.group_id, seq=seq).values_list("hash", flat=True).first()


def begin_epoch() -> list[tuple[UUID, int]]:
    """Give every book a new epoch, so that no cursor of before counts; return the groups with their books' heads."""
    books = list(Book.objects.order_by("group_id").values_list("group_id", "head"))
    for group_id, _ in books:
        Book.objects.filter(group_id=group_id).update(epoch=new_id())
    return books
