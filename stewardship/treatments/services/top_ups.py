"""A batch is topped up from others: what comes with their mix, through any number of generations."""

from collections.abc import Collection, Iterable, Mapping
from datetime import datetime
from fractions import Fraction
from itertools import combinations
from typing import Any, NamedTuple
from uuid import UUID

from stewardship.catalog.models import Product
from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.contents import instant
from stewardship.journal.fields import Volume
from stewardship.rules.measures import MEASURE, amount_of, base_of
from stewardship.rules.mixes.compositions import CarriersDiffer, ContentsUnknown, ProductsNotCompatible
from stewardship.treatments import fields
from stewardship.treatments.models import Batch, End, Leftover
from stewardship.treatments.services import draws, facts

NO_CARRIER = "none"
AS_POURED = ("nl", "volume", "ug", "mass", "planned", "lots")
"""What of a part is about this mix; the rest is the label as it stood."""

Contents = list[dict[str, Any]]


class LeftoverOfAnotherBatch(RuleViolation):
    """The batch and the leftover that are named do not belong together."""

    code = "leftover_of_another_batch"
    message = "This leftover is of another batch than the one named. Name one of them, or read the tag again."
    where = "leftover"


class Source(NamedTuple):
    """Where mix is taken from."""

    batch: Batch
    leftover: Leftover | None


def source_of(entry: Entry, batch_id: UUID | None, leftover_id: UUID | None) -> Source:
    """Return the batch that is meant by itself, by a leftover of it, or by both.

    Raises ContentsUnknown for a container of which nobody knows what it holds, and LeftoverOfAnotherBatch.
    """
    if leftover_id is None:
        assert batch_id
        return Source(entry.get(Batch, batch_id), None)
    leftover = facts.living(entry.get(Leftover, leftover_id))
    if leftover.batch_id is None:
        raise ContentsUnknown(where="leftover")
    if batch_id not in (None, leftover.batch_id):
        raise LeftoverOfAnotherBatch
    return Source(entry.get(Batch, leftover.batch_id), leftover)


def pour(entry: Entry, sent: Iterable[fields.Poured]) -> Contents:
    """Take what was poured in out of its batches.

    Return for each its ``batch``, ``leftover``, ``volume``, and the ``products`` and ``adjuvants`` that came with it.
    Raises what ``draws.take`` and ``source_of`` raise.
    """
    poured = []
    for each in sent:
        source = source_of(entry, each.batch, each.leftover)
        volume = volume_of(each.volume) if each.volume else _all_of(source.leftover)
        poured.append(_poured(entry, source, volume))
    return poured


def pour_again(entry: Entry, poured: Contents) -> Contents:
    """Take the same amounts out of the same batches again, as far as they still hold them."""
    return [
        _poured(entry, Source(entry.get(Batch, UUID(each["batch"])), _leftover(entry, each)), each["volume"])
        for each in poured
    ]


def hand_on(entry: Entry, batch: Batch) -> None:
    """Tell each batch and leftover that was poured into this one, a new or reinstated one, that it was."""
    for each in batch.poured_from:
        parent, leftover = entry.get(Batch, UUID(each["batch"])), _leftover(entry, each)
        told = {"batch": str(batch.id), "nl": each["volume"]["nl"], "at": instant(batch.mixed_at)}
        entry.change(parent, poured_on=[*parent.poured_on, told | {"how_known": batch.how_known}])
        if leftover and leftover.is_open() and each["volume"]["nl"] >= leftover.volume_nl:
            entry.change(leftover, ended_at=_end_of(leftover, batch.mixed_at), end=End.POURED_ON.value)


def take_back(entry: Entry, batch: Batch) -> None:
    """Put what was poured into this batch back where it came from: the batch is being voided."""
    for each in batch.poured_from:
        parent, leftover = entry.get(Batch, UUID(each["batch"])), _leftover(entry, each)
        draws.give_back(entry, parent, each["volume"]["nl"], each["products"])
        entry.change(parent, poured_on=[told for told in parent.poured_on if told["batch"] != str(batch.id)])
        if leftover and _was_ended(leftover, batch.mixed_at):
            entry.change(leftover, ended_at=None, end="")


def restate(entry: Entry, batch: Batch, mixed_at: datetime) -> None:
    """Tell where mix was poured from when that was, and how it is known, after a correction.

    ``mixed_at``: when it was, by what was said before.
    """
    now = {"at": instant(batch.mixed_at), "how_known": batch.how_known}
    for parent in {each["batch"] for each in batch.poured_from}:
        record = entry.get(Batch, UUID(parent))
        told = [each | now if each["batch"] == str(batch.id) else each for each in record.poured_on]
        entry.change(record, poured_on=told)
    for each in batch.poured_from:
        leftover = _leftover(entry, each)
        if leftover and _was_ended(leftover, mixed_at):
            entry.change(leftover, ended_at=_end_of(leftover, batch.mixed_at))


def _end_of(leftover: Leftover, mixed_at: datetime) -> datetime:
    """Return when a leftover ended that was poured into what was mixed then: not before it was measured."""
    return max(mixed_at, leftover.measured_at)


def _was_ended(leftover: Leftover, mixed_at: datetime) -> bool:
    """Tell whether a leftover ended by being poured into what was mixed then, whatever was corrected since."""
    return leftover.end == End.POURED_ON and leftover.ended_at == _end_of(leftover, mixed_at)


# -- what comes with it ----------------------------------------------------------------------------


def inherited(entry: Entry, poured: Contents) -> tuple[Contents, Contents]:
    """Return the parts and adjuvants that come with what was poured in, each with its ``nl``."""
    parts: Contents = []
    adjuvants: Contents = []
    for each in poured:
        parent = entry.get(Batch, UUID(each["batch"]))
        shares = zip(parent.parts, each["products"], strict=True)
        parts += [_inherited(part, amount_of(share)) for part, share in shares if amount_of(share)]
        adjuvants += [adjuvant | {"volume": None} for adjuvant in each["adjuvants"]]
    return parts, adjuvants


def afresh(contents: Contents) -> Contents:
    """Return what of a mix was poured in undiluted, without what came with another batch."""
    return [each | {base_of(each): amount_of(poured)} for each in contents if (poured := poured_of(each))]


def poured_of(each: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return what of a product or adjuvant was poured in undiluted; None where all of it came with another batch."""
    poured: dict[str, Any] | None = each[MEASURE[base_of(each)]]
    return poured


def _inherited(part: dict[str, Any], amount: int) -> dict[str, Any]:
    base = base_of(part)
    return part | {base: amount, MEASURE[base]: None, "planned": None, "lots": []}


def merged(contents: Contents) -> Contents:
    """Return a mix's contents with the same thing once: a product by what its label said, an adjuvant by its name."""
    found: Contents = []
    for each in contents:
        same = next((one for one in found if _label(one) == _label(each)), None)
        if same is None:
            found.append(dict(each))
        else:
            same[base_of(each)] += amount_of(each)
    return found


def _label(each: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in each.items() if key not in AS_POURED}


# -- what does not go together ---------------------------------------------------------------------


def check_carriers(entry: Entry, carrier: str, poured: Contents) -> None:
    """Refuse mixes in different carriers in one batch; undiluted product goes into any. Raises CarriersDiffer."""
    for each in poured:
        parent = entry.get(Batch, UUID(each["batch"]))
        if NO_CARRIER != parent.carrier != carrier:
            raise CarriersDiffer(one=parent.carrier, other=carrier)


def check_compatible(entry: Entry, poured: Contents, fresh: Contents) -> None:
    """Refuse two products that meet here and that no label names as partners. Raises ProductsNotCompatible."""
    together: set[str] = set()
    for each in poured:
        parent = entry.get(Batch, UUID(each["batch"]))
        together |= _meet(entry, together, [part["product"] for part in parent.parts])
    for part in fresh if together else ():
        _meet(entry, together, [part["product"]])


def not_compatible(entry: Entry, fresh: Contents) -> list[tuple[str, str]]:
    """Return the names of each two products poured in undiluted that no label names as partners."""
    ids = sorted({part["product"] for part in fresh})
    if len(ids) < 2:
        return []
    _load_products(entry)
    products = [entry.get(Product, UUID(id)) for id in ids]
    return [(one.name, other.name) for one, other in combinations(products, 2) if not _go_together(one, other)]


def _meet(entry: Entry, together: Collection[str], ids: Collection[str]) -> set[str]:
    _load_products(entry)
    for one, other in ((a, b) for a in sorted(set(together) - set(ids)) for b in sorted(set(ids) - set(together))):
        products = entry.get(Product, UUID(one)), entry.get(Product, UUID(other))
        if not _go_together(*products):
            raise ProductsNotCompatible(one=products[0].name, other=products[1].name, where="poured_from")
    return set(ids)


def _load_products(entry: Entry) -> None:
    """Read the products of every batch that is known here, with one statement."""
    every = {part["product"] for batch in entry.known(Batch).values() for part in batch.parts}
    entry.load(Product, map(UUID, every), lock=False)


def _go_together(one: Product, other: Product) -> bool:
    return str(other.id) in one.compatible_with or str(one.id) in other.compatible_with


# -- parts -----------------------------------------------------------------------------------------


def _poured(entry: Entry, source: Source, volume: dict[str, Any]) -> dict[str, Any]:
    batch = source.batch
    mix_nl, products = draws.take(entry, batch, volume["nl"])
    return {
        "batch": str(batch.id),
        "leftover": str(source.leftover.id) if source.leftover else None,
        "volume": volume | {"nl": mix_nl},
        "products": [{"product": each["product"], base_of(each): amount_of(each)} for each in products],
        "adjuvants": [
            {"name": each["name"], "nl": round(Fraction(each["nl"] * mix_nl, batch.mix_nl))} for each in batch.adjuvants
        ],
    }


def _leftover(entry: Entry, poured: dict[str, Any]) -> Leftover | None:
    return entry.get(Leftover, UUID(poured["leftover"])) if poured["leftover"] else None


def _all_of(leftover: Leftover | None) -> dict[str, Any]:
    assert leftover
    return {"value": leftover.volume_value, "unit": leftover.volume_unit, "nl": leftover.volume_nl}


def volume_of(volume: Volume) -> dict[str, Any]:
    """Return a volume as it is kept within a record."""
    return {"value": volume.value, "unit": volume.unit, "nl": volume.amount()}
