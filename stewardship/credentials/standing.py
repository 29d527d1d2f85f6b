"""What somebody's credentials were worth on a date: plans are refused by it, facts are marked with it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal

from stewardship.credentials.models import Covers, Credential
from stewardship.rules.validity import status_on

Status = Literal["valid", "grace", "pending", "expired", "missing"]
BEST_FIRST = ("valid", "grace", "pending", "expired")


@dataclass(frozen=True, slots=True)
class Standing:
    """The best that somebody had for one purpose on a date; ``credential`` is None where ``status`` is missing."""

    covers: str
    status: Status
    credential: Credential | None = None

    @property
    def counts(self) -> bool:
        """Tell whether it counts for doing the work: a grace and a pending one do not."""
        return self.status == "valid"


def standing(credentials: Iterable[Credential], covers: str, on: date) -> Standing:
    """Return the standing on the local date ``on``: valid beats grace beats pending beats expired.

    Of several alike the one that ends last counts. Voided credentials count for nothing.
    """
    found = [(status_on(c.dates(), on), c) for c in credentials if c.covers == covers and not c.voided_at]
    if not found:
        return Standing(covers, "missing")
    status, credential = min(found, key=lambda pair: (BEST_FIRST.index(pair[0]), *_last_first(pair[1])))
    return Standing(covers, status, credential)


def _last_first(credential: Credential) -> tuple[int, str]:
    last_on = credential.expires_on or date.max
    return -last_on.toordinal(), str(credential.id)


def marks_for(found: Standing, field: str, on: date) -> list[dict[str, str]]:
    """Return what is to be flagged about work done with this standing on ``on``: nothing if it counted.

    ``field`` names the field that names the holder. The number is told as it stood; no name is.
    """
    if found.counts:
        return []
    code, sentence = MARKS[found.status]
    source = found.credential.authority if found.credential else ""
    return [{"code": code, "detail": sentence(found, on), "field": field, "source": source}]


def _missing(found: Standing, on: date) -> str:
    return f"No {Covers(found.covers).label} is on record for {_said(on)}."


def _expired(found: Standing, on: date) -> str:
    return f"{_named(found)} ended on {_end(found)}. It did not count on {_said(on)}."


def _in_grace(found: Standing, on: date) -> str:
    return f"{_named(found)} ended on {_end(found)}. It could still be renewed on {_said(on)}, but it did not count."


def _pending(found: Standing, on: date) -> str:
    return f"{_named(found)} was not issued and in hand on {_said(on)}. It counts from the day when it is."


MARKS: dict[str, tuple[str, Callable[[Standing, date], str]]] = {
    "missing": ("credential_missing", _missing),
    "expired": ("credential_expired", _expired),
    "grace": ("credential_in_grace", _in_grace),
    "pending": ("credential_pending", _pending),
}
"""Standing that does not count -> code and sentence."""


def _named(found: Standing) -> str:
    number = found.credential.number if found.credential else ""
    return f"The {Covers(found.covers).label} {number or 'without a number'}"


def _end(found: Standing) -> str:
    last_on = found.credential.expires_on if found.credential else None
    return _said(last_on) if last_on else "no day"


def _said(on: date) -> str:
    return f"{on.day} {on:%B %Y}"
