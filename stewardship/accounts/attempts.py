"""How often something may be tried: counted in the database, so that it holds across threads and processes.

Each key has a row; who tries locks it, forgets what no longer counts, and adds a moment if there is room. So in any
span of a limit's length there are never more attempts than it admits, whoever tries at once.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from math import ceil

from django.db import transaction

from stewardship.accounts.models import Attempts
from stewardship.errors import RuleViolation

MICROSECOND = timedelta(microseconds=1)
BEGIN = datetime(1970, 1, 1, tzinfo=UTC)


class TooManyAttempts(RuleViolation):
    """Too often in too short a time; it says how long to wait."""

    code = "too_many_attempts"
    message = "That was too many attempts. Wait {told}, then try again. Nothing was changed."

    @property
    def wait_s(self) -> int:
        """Return how long to wait [s]."""
        return int(self.facts["wait_s"])


@dataclass(frozen=True, order=True)
class Limit:
    """At most ``most`` attempts of something ``within`` a span, for one account, address or code."""

    what: str
    of: str
    most: int
    within: timedelta


@dataclass(frozen=True, order=True)
class Counted:
    """A limit as it bears on one account, address or code."""

    key: str
    limit: Limit

    @classmethod
    def of(cls, limit: Limit, whose: str) -> "Counted":
        """Return the limit on ``whose`` attempts; what is kept of that is a hash."""
        text = f"{limit.what}\n{limit.of}\n{whose}"
        return cls(sha256(text.encode("utf-8", "surrogatepass")).hexdigest(), limit)


def take(counted: Iterable[Counted], *, at: datetime) -> None:
    """Count an attempt under every key, or under none and raise TooManyAttempts."""
    wanted = sorted(set(counted))
    moment = (at - BEGIN) // MICROSECOND
    with transaction.atomic():
        rows = _locked(wanted, at)
        waits = [_wait(rows[each.key].moments, each.limit, moment) for each in wanted]
        if (wait_s := max(waits, default=0)) > 0:
            raise TooManyAttempts(wait_s=wait_s, told=_told(wait_s))
        for each in wanted:
            row = rows[each.key]
            row.moments = [*_that_count(row.moments, each.limit, moment), moment]
            row.forget_at = at + each.limit.within
            row.save()


def give_back(counted: Iterable[Counted], *, at: datetime) -> None:
    """Take an attempt of that moment back: it was none that counts."""
    wanted = sorted(set(counted))
    moment = (at - BEGIN) // MICROSECOND
    with transaction.atomic():
        for row in _locked(wanted, at).values():
            if moment in row.moments:
                row.moments.remove(moment)
                row.save()


def forget(at: datetime) -> int:
    """Delete the rows of which nothing counts any more; return how many."""
    return Attempts.objects.filter(forget_at__lt=at).delete()[0]


def _locked(wanted: Sequence[Counted], at: datetime) -> dict[str, Attempts]:
    """Return each key's row under its lock, always in the order of keys; one that is new is made first.

    One that was forgotten between the two statements is made anew.
    """
    new = [Attempts(key=each.key, forget_at=at + each.limit.within) for each in wanted]
    keys = {each.key for each in wanted}
    rows: dict[str, Attempts] = {}
    while rows.keys() != keys:
        Attempts.objects.bulk_create(new, ignore_conflicts=True)
        found = Attempts.objects.select_for_update().filter(key__in=keys).order_by("key")
        rows = {row.key: row for row in found}
    return rows


def _that_count(moments: list[int], limit: Limit, now: int) -> list[int]:
    span = limit.within // MICROSECOND
    return sorted(moment for moment in moments if moment > now - span)


def _wait(moments: list[int], limit: Limit, now: int) -> int:
    """Return how many seconds until there is room; 0 if there is."""
    counting = _that_count(moments, limit, now)
    if len(counting) < limit.most:
        return 0
    free_at = counting[-limit.most] + limit.within // MICROSECOND
    return ceil((free_at - now) / 1_000_000)


def _told(wait_s: int) -> str:
    if wait_s <= 90:
        return f"{wait_s} second{'' if wait_s == 1 else 's'}"
    return f"{ceil(wait_s / 60)} minutes"
