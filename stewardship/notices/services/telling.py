"""Telling members something, in the entry of its cause."""

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from stewardship.journal.book import Entry
from stewardship.notices.kinds import KINDS
from stewardship.notices.models import Notice

LONGEST_SUBJECT = 200


def tell(
    entry: Entry,
    members: Iterable[UUID],
    *,
    kind: str,
    key: str,
    subject: str,
    text: str,
    path: str = "",
    due_at: datetime | None = None,
) -> None:
    """Tell members something: it is committed with its cause, and a mail follows as each of them wishes.

    ``key`` says what it is about, with the ids and dates that make it this and no other: a member is told once under
    it, for ever. Asking again changes nothing, also when two entries do it at once. ``text`` is whole sentences that
    stay true when they are read days later: a date, never "tomorrow". ``path`` is the page where one acts on it, and
    ``due_at`` the time from which on it is told, else now.
    """
    if kind not in KINDS:
        raise ValueError(f"nobody is told {kind!r}: it is no kind of notice")
    for member_id in dict.fromkeys(members):
        entry.add(
            Notice(
                group_id=entry.group_id,
                member_id=member_id,
                kind=kind,
                key=key,
                subject=one_line(subject),
                text=text,
                path=path,
                due_at=due_at or entry.at,
                made_at=entry.at,
            )
        )


def one_line(subject: str) -> str:
    """Return a subject as a mail can have it: on one line, and not too long."""
    subject = " ".join(subject.split())
    return subject if len(subject) <= LONGEST_SUBJECT else subject[: LONGEST_SUBJECT - 1] + "…"
