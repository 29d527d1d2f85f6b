"""The same from two devices: the second one waits until a person says whether it is the same.

Of uses only what is alike in everything waits; what is less alike is recorded, and both are shown. Of one device's own
uses none is taken for another: it counts for itself what it sends.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import OuterRef, Subquery

from stewardship.catalog.models import ActiveIngredient, Product, Reference, Species
from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.models import Revision
from stewardship.journal.ordering import write_order
from stewardship.sync.atoms import Atom
from stewardship.treatments.models import Application, Leftover

LIKE = Fraction(1, 10)
"""By as much of the larger one two amounts may differ that stand for one use; ours, no source."""

KEYS: dict[type[Reference], tuple[str, ...]] = {
    Species: ("scientific_name",),
    ActiveIngredient: ("name", "form"),
    Product: ("name", "registration_no"),
}
"""Reference type -> by what a row of it is known, whatever its case."""


class PossibleDuplicate(RuleViolation):
    """The same use was entered by another device, or on a page."""

    code = "possible_duplicate"
    message = (
        "A use of the same batch on the same species and day in the same unit, of about the same amount, was entered "
        "elsewhere. A coordinator says whether it is the same."
    )


class DuplicateKey(RuleViolation):
    """What everybody chooses from stands on its list once."""

    code = "duplicate_key"
    message = "{name} stands on the list already. Use that one; a coordinator says whether this is another."


class Line(NamedTuple):
    """A line that stands in the book, and the device that it came from (None: a page or REST)."""

    id: UUID
    batch_id: UUID
    unit_id: UUID
    species_id: UUID
    on_date: date
    mix_nl: int
    device_id: UUID | None


@dataclass(frozen=True)
class Known:
    """What new records of a push may be duplicates of."""

    lines: list[Line]
    keys: set[tuple[str, ...]]


def look(entry: Entry, atoms: list[Atom]) -> Known:
    """Read what the new records of a push may be duplicates of: one statement for each type concerned."""
    return Known(_lines(entry, atoms), _keys(entry, atoms))


def check(entry: Entry, known: Known, atom: Atom) -> None:
    """Refuse a new record that may be a duplicate. Raises PossibleDuplicate, DuplicateKey."""
    record = atom.record
    if atom.sent.op != "create" or atom.result["outcome"] != "applied":
        return
    if isinstance(record, Application):
        _check_line(known.lines, record)
    elif type(record) in KEYS:
        _check_key(entry, known.keys, record)


# -- uses ------------------------------------------------------------------------------------------


def _lines(entry: Entry, atoms: list[Atom]) -> list[Line]:
    """Return the lines of other devices of the batches that new lines name."""
    batches = {id for atom in atoms for id in _batches(entry, atom)}
    if not batches:
        return []
    first = Revision.objects.filter(group_id=entry.group_id, record_id=OuterRef("id"), rev=1)
    lines = Application.objects.filter(group_id=entry.group_id, batch_id__in=batches, voided_at=None)
    told = lines.annotate(device=Subquery(first.values("device_id")[:1]))
    columns = ("id", "batch_id", "unit_id", "species_id", "on_date", "mix_nl", "device")
    found = sorted(map(Line._make, told.values_list(*columns)))
    return [line for line in found if line.device_id != entry.device_id]


def _batches(entry: Entry, atom: Atom) -> Iterator[Any]:
    if atom.verb is None or (atom.sent.type, atom.sent.op) != (Application.kind, "create"):
        return
    if atom.wish.batch:
        yield atom.wish.batch
    elif leftover := entry.find(Leftover, atom.wish.leftover):
        yield leftover.batch_id


def _check_line(known: list[Line], line: Application) -> None:
    like = next((each for each in known if _is_like(each, line)), None)
    if like is not None:
        where = {"code": PossibleDuplicate.code, "detail": "The line that is like this one.", "where": str(like.id)}
        raise PossibleDuplicate(reasons=[where])


def _is_like(known: Line, line: Application) -> bool:
    same = (known.batch_id, known.unit_id, known.species_id, known.on_date)
    if same != (line.batch_id, line.unit_id, line.species_id, line.on_date):
        return False
    return abs(known.mix_nl - line.mix_nl) <= LIKE * max(known.mix_nl, line.mix_nl)


# -- reference data --------------------------------------------------------------------------------


def _keys(entry: Entry, atoms: list[Atom]) -> set[tuple[str, ...]]:
    """Return by what the rows in use of the types concerned are known."""
    new = {atom.verb.record for atom in atoms if atom.verb and atom.sent.op == "create"}
    models = [model for model in KEYS if model in new]
    return {
        (model.kind, *map(str.casefold, key))
        for model in sorted(models, key=write_order)
        for key in model._default_manager.filter(group_id=entry.group_id, retired_at=None).values_list(*KEYS[model])
    }


def _check_key(entry: Entry, known: set[tuple[str, ...]], row: Any) -> None:
    """Refuse what is known by the same; rows of the published files have keys of their own."""
    if row.reference_key:
        return
    beside = {_key(each) for each in entry.staged(type(row)) if each is not row}
    if _key(row) in known | beside:
        raise DuplicateKey(name=str(row))


def _key(row: Any) -> tuple[str, ...]:
    return (row.kind, *(getattr(row, name).casefold() for name in KEYS[type(row)]))
