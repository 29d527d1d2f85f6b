"""Merge a correction that was made of an older state of its record into what the record says now.

Compared is what values say, not how they are written: amounts by their base unit, times by the moment they mean.
"""

from collections.abc import Iterable
from datetime import date, datetime
from functools import cache, partial
from typing import Any
from uuid import UUID

import msgspec

from stewardship.errors import Conflict
from stewardship.journal.book import Entry
from stewardship.journal.contents import BASES, instant
from stewardship.journal.fields import Quantity, read_checked
from stewardship.journal.models import Record, Revision
from stewardship.sync.atoms import Atom
from stewardship.sync.merge import Merged, Policy, Sides, merge
from stewardship.sync.reading import read_fields

POLICIES: dict[str, Policy] = {"note": "keep_both", "helpers": "union"}
"""Field -> what becomes of two values of it, whatever the type; any other is settled by a person."""

UNITS: dict[str, tuple[tuple[str, ...], ...]] = {
    "application": (("mix", "how_known"),),
    "session": (
        ("applicator", "contractor", "supervisor"),
        ("written_by", "written_at"),
        ("had_incident", "incident"),
        ("for_a_customer", "customer"),
    ),
}
"""Type -> fields that belong together and are taken together or not at all."""

BESIDE = ("id", "reason")
"""What stands among the fields that are sent and is no value of the record."""


class Disputed(Conflict):
    """Two people changed the same field to different values."""

    message = "Somebody changed the same here meanwhile: {names}. A coordinator settles whose value is to stand."


def remember(entry: Entry, atoms: Iterable[Atom]) -> None:
    """Note for each correction what its record said at the revision that its author saw: one statement for all."""
    older: dict[tuple[UUID, int], list[Atom]] = {}
    for atom in atoms:
        if not (atom.merges and atom.verb and atom.sent.op == "amend" and atom.sent.base_rev is not None):
            continue
        target = entry.find(atom.verb.record, atom.wish.id)
        if target is None or not 0 < atom.sent.base_rev <= target.rev:
            continue
        if atom.sent.base_rev == target.rev:
            atom.before = target.content()
        else:
            older.setdefault((target.id, atom.sent.base_rev), []).append(atom)
    if not older:
        return
    told = Revision.objects.filter(
        group_id=entry.group_id,
        record_id__in={id for id, _ in older},
        rev__in={rev for _, rev in older},
        content__isnull=False,
    )
    for id, rev, content in told.values_list("record_id", "rev", "content"):
        for atom in older.get((id, rev), ()):
            atom.before = msgspec.json.decode(content or "{}")


def is_stale(atom: Atom, target: Record) -> bool:
    """Return whether a record was changed since the mutation's author saw it."""
    return atom.sent.base_rev not in (None, target.rev)


def is_to_merge(atom: Atom, target: Record) -> bool:
    """Return whether a correction is made of what its author saw, rather than of what stands.

    Values that are told as seen count also where the revision is the same: what the author wished for before may wait.
    """
    return atom.merges and atom.sent.op == "amend" and (is_stale(atom, target) or bool(atom.sent.base))


def merged(atom: Atom, target: Record) -> Any:
    """Return what is left to be done of a correction, as its verb takes it; None if nothing is.

    Raises Disputed, and Unreadable where the merged value is none that may stand there.
    """
    found = _merge(atom, target)
    if found.disputed:
        names = ", ".join(sorted(found.disputed))
        raise Disputed(names=names, fields=_told(found.disputed), rev=target.rev)
    if found.moved or is_stale(atom, target):
        atom.moved = _told(found.moved)
    if not found.values:
        return None
    assert atom.verb
    beside = {name: value for name, value in atom.sent.set.items() if name in BESIDE}
    reason = {"reason": atom.sent.reason} if atom.sent.reason else {}
    return read_fields(found.values | beside | reason | {"id": atom.wish.id}, atom.verb.fields)


def _merge(atom: Atom, target: Record) -> Merged:
    assert atom.verb
    return merge(
        {name: value for name, value in atom.sent.set.items() if name not in BESIDE},
        (atom.before or {}) | atom.sent.base,
        target.content(),
        policies=POLICIES,
        units=[unit for unit in UNITS.get(target.kind, ()) if not atom.decided & set(unit)],
        same=partial(_same, atom.verb.fields),
    )


def _told(fields: dict[str, Sides]) -> dict[str, Any]:
    return {name: sides._asdict() for name, sides in fields.items()}


# -- what values say -------------------------------------------------------------------------------


def _same(struct: type, name: str, one: Any, other: Any) -> bool:
    kind, plain = _kinds(struct).get(name, Any), (_as_sent(one), _as_sent(other))
    try:
        said, told = (_comparable(msgspec.convert(each, kind, dec_hook=read_checked)) for each in plain)
    except msgspec.ValidationError:
        return _covers(*plain) or _covers(*reversed(plain))
    return bool(said == told)


@cache
def _kinds(struct: type) -> dict[str, Any]:
    return {field.encode_name: field.type for field in msgspec.structs.fields(struct)}


def _as_sent(value: Any) -> Any:
    """Return a value as it is sent: a quantity without the amount that was reckoned from it."""
    if isinstance(value, list):
        return [_as_sent(item) for item in value]
    if not isinstance(value, dict):
        return value
    reckoned = {*BASES, "shown"} if {"value", "unit"} <= value.keys() else set()
    return {name: _as_sent(item) for name, item in value.items() if name not in reckoned}


def _covers(whole: Any, part: Any) -> bool:
    """Return whether a value says all that another one says; a record may say more of it, which was looked up."""
    if isinstance(whole, dict) and isinstance(part, dict):
        return all(name in whole and _covers(whole[name], value) for name, value in part.items())
    if isinstance(whole, list) and isinstance(part, list):
        return len(whole) == len(part) and all(map(_covers, whole, part))
    return bool(whole == part)


def _comparable(value: Any) -> Any:
    if isinstance(value, Quantity):
        return value.base, value.amount()
    if isinstance(value, msgspec.Struct):
        return {name: _comparable(getattr(value, name)) for name in value.__struct_fields__}
    if isinstance(value, list):
        return [_comparable(item) for item in value]
    if isinstance(value, datetime):
        return instant(value)
    return str(value) if isinstance(value, UUID | date) else value
