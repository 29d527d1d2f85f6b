"""What somebody's credentials were worth for a piece of work on a date: plans are refused by it, facts are marked."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal
from uuid import UUID

from stewardship.credentials.lacks import Lack, lacks_of, status_mark
from stewardship.credentials.models import Credential, CredentialType
from stewardship.credentials.needs import Need
from stewardship.rules.validity import status_on

Status = Literal["valid", "grace", "pending", "suspended", "expired", "missing"]
BEST_FIRST = ("valid", "grace", "pending", "suspended", "expired")
Types = Mapping[UUID, CredentialType]
"""Kinds of credentials by id: all that the credentials are of."""


@dataclass(frozen=True, slots=True)
class Standing:
    """The best that somebody had for a piece of work on a date; ``credential`` is None where ``status`` is missing.

    ``status``: what it was worth; ``lacks``: why it was not good for this work all the same. ``shared``: every
    credential that the work rests on, where it takes several.
    """

    covers: str
    status: Status
    credential: Credential | None = None
    lacks: tuple[Lack, ...] = ()
    shared: tuple[Credential, ...] = ()

    @property
    def counts(self) -> bool:
        """Tell whether it counts for doing the work: a grace and a pending one do not."""
        return self.status == "valid" and not self.lacks


def standing(credentials: Iterable[Credential], need: Need, on: date, types: Types) -> Standing:
    """Return the standing for a piece of work on the local date ``on``.

    Valid beats grace beats pending beats suspended beats expired; what lacks least comes first, then what ends last.
    Voided credentials count for nothing.
    """
    held = [each for each in credentials if not each.voided_at]
    parts = [_best(held, part, on, types) for part in need.parts()]
    failing = [part for part in parts if not part.counts]
    worst = max(failing or parts[:1], key=lambda part: _rank(part.status))
    lacks = dict.fromkeys(lack for part in failing if part.credential is worst.credential for lack in part.lacks)
    shared = dict.fromkeys(part.credential for part in parts if part.credential)
    return replace(worst, lacks=tuple(lacks), shared=tuple(shared))


def best_of(found: list[Standing]) -> Standing:
    """Return the best of several standings of one person: one that counts, else the one that is nearest to it."""
    return min(found, key=lambda each: (not each.counts, _rank(each.status), len(each.lacks)))


def _best(held: list[Credential], need: Need, on: date, types: Types) -> Standing:
    found = [_judged(each, held, need, on, types) for each in held if _is_of(each, need)]
    return min(found, key=_order, default=Standing(need.covers, "missing"))


def _is_of(credential: Credential, need: Need) -> bool:
    return credential.covers == need.covers and need.type in (None, credential.type_id)


def _judged(credential: Credential, held: list[Credential], need: Need, on: date, types: Types) -> Standing:
    kind = types[credential.type_id] if credential.type_id else None
    lacks = [*lacks_of(credential, kind, need), *_beside(held, kind, on, types)]
    return Standing(need.covers, status_on(credential.dates(), on), credential, tuple(lacks), (credential,))


def _beside(held: list[Credential], kind: CredentialType | None, on: date, types: Types) -> Iterable[Lack]:
    """Tell what must be good beside a credential of this kind and is not; that is judged by its days alone."""
    if kind is None:
        return
    needs = [Need(covers) for covers in kind.needs]
    needs += [Need(types[UUID(id)].covers, type=UUID(id)) for id in kind.needs_types if UUID(id) in types]
    for need in needs:
        found = [(status_on(each.dates(), on), each) for each in held if _is_of(each, need)]
        if any(status == "valid" for status, _ in found):
            continue
        status, last = min(found, key=lambda pair: _rank(pair[0]), default=("missing", None))
        yield Lack(
            "credential_needs_lapsed", f"{kind.name} counts only beside another one. {_why(need, status, last, on)}"
        )


def _why(need: Need, status: str, credential: Credential | None, on: date) -> str:
    return status_mark(need.covers, status, credential, on).detail


def _rank(status: str) -> int:
    return BEST_FIRST.index(status) if status in BEST_FIRST else len(BEST_FIRST)


def _order(found: Standing) -> tuple[int, int, int, str]:
    assert found.credential
    last_on = found.credential.expires_on or date.max
    return _rank(found.status), len(found.lacks), -last_on.toordinal(), str(found.credential.id)


def marks_for(found: Standing, field: str, on: date) -> list[dict[str, str]]:
    """Return what is to be flagged about work done with this standing on ``on``: nothing if it counted.

    ``field`` names the field that names the holder. The number is told as it stood; no name is.
    """
    told = [] if found.status == "valid" else [status_mark(found.covers, found.status, found.credential, on)]
    source = found.credential.authority if found.credential else ""
    return [
        {"code": lack.code, "detail": lack.detail, "field": field, "source": source} for lack in (*told, *found.lacks)
    ]
