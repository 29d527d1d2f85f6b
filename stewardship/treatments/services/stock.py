"""What a lot holds, kept under its lock: never less than nothing; what the book lacks stands in a flagged count."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from stewardship.catalog.models import Product
from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.rules import units
from stewardship.rules.measures import MEASURE
from stewardship.treatments.models import Lot, StockMovement
from stewardship.treatments.services import facts


class LotVoided(RuleViolation):
    """A voided lot holds nothing."""

    code = "lot_voided"
    message = "This lot was voided. Reinstate it before something goes in or out of it."
    where = "lot"


class LotOfOtherProduct(RuleViolation):
    """A lot holds one product."""

    code = "lot_of_other_product"
    message = "This lot holds another product. Choose a lot of the product that you name."
    where = "lot"


class LotWouldBeOverdrawn(RuleViolation):
    """What was taken out of a lot was in it."""

    code = "lot_would_be_overdrawn"
    message = (
        "More was taken out of this lot than it would then have held. Count what is left of it, "
        "or correct what was taken out first."
    )
    where = "lot"


class ProductIsDry(RuleViolation):
    """A dry product is weighed."""

    code = "product_is_dry"
    message = "{name} is dry: it is weighed, not measured by volume. Enter its weight as mass."
    where = "parts"


class ProductIsLiquid(RuleViolation):
    """A liquid product is measured by volume."""

    code = "product_is_liquid"
    message = "{name} is a liquid: it is measured by volume, not weighed. Enter its volume."
    where = "parts"


@dataclass(frozen=True)
class Occasion:
    """When, by whom and for what product is taken out: by a batch that was mixed, or by another movement."""

    at: datetime
    on: date
    time_zone: str
    by_id: UUID
    batch_id: UUID | None = None
    cause_id: UUID | None = None


@dataclass(frozen=True)
class Taken:
    """What was taken out of a lot, and by how much that is more than the book held; in the lot's base unit."""

    amount: int
    short: int


def living_lot(entry: Entry, id: UUID) -> Lot:
    """Return a lot that counts. Raises LotVoided."""
    lot = entry.get(Lot, id)
    if lot.voided_at:
        raise LotVoided
    return lot


def check_measure(product: Product, base: str, where: str) -> None:
    """Refuse an amount of a product in the other measure. Raises ProductIsDry, ProductIsLiquid."""
    if product.is_dry != (base == "ug"):
        raise (ProductIsDry if product.is_dry else ProductIsLiquid)(name=product.name, where=where)


def check_kept_in(entry: Entry, lot: Lot, base: str, where: str) -> None:
    """Refuse an amount in another measure than the lot is kept in. Raises ProductIsDry, ProductIsLiquid."""
    if lot.base != base:
        refusal = ProductIsDry if lot.base == "ug" else ProductIsLiquid
        raise refusal(name=entry.get(Product, lot.product_id).name, where=where)


def shift(entry: Entry, lot: Lot, amount: int, *, entries: int = 0) -> None:
    """Put so much into a lot, or take it out, in its base unit; ``entries``: how many more count.

    Raises LotWouldBeOverdrawn.
    """
    if lot.left + amount < 0:
        raise LotWouldBeOverdrawn
    entry.change(lot, **{f"left_{lot.base}": lot.left + amount, "entries": lot.entries + entries})


def take_out(entry: Entry, lot: Lot, wanted: int, occasion: Occasion) -> Taken:
    """Take product out of a lot. What the book lacks is made up by a count that somebody has yet to make.

    Amounts are in the lot's base unit. Each entry was rounded to one of it, so that what exceeds the book by no more
    than one for each of them takes exactly what is left (128 fluid ounces, each rounded, exceed a gallon by 56 nL).
    """
    over = wanted - lot.left
    if over <= 0:
        shift(entry, lot, -wanted, entries=1)
        return Taken(wanted, 0)
    if lot.left and over <= lot.entries + 1:
        taken = lot.left
        shift(entry, lot, -taken, entries=1)
        return Taken(taken, 0)
    _flag(entry, lot, over, occasion)
    shift(entry, lot, -wanted, entries=1)
    return Taken(wanted, over)


def _flag(entry: Entry, lot: Lot, short: int, occasion: Occasion) -> None:
    """Make up for what the book lacks by a count that waits for somebody to make it."""
    detail = f"{told(short, lot)} more was taken out of this lot than the book held. Count what is left of it."
    entry.create(
        StockMovement,
        id=None,
        what=StockMovement.What.COUNT,
        lot_id=lot.id,
        batch_id=occasion.batch_id,
        cause_id=occasion.cause_id,
        happened_at=occasion.at,
        on_date=occasion.on,
        time_zone=occasion.time_zone,
        by_id=occasion.by_id,
        marks=[facts.mark("count_wanted", detail, MEASURE[lot.base])],
        **{f"delta_{lot.base}": short},
    )
    shift(entry, lot, short, entries=1)


def take_flags_back(entry: Entry, movements: Iterable[StockMovement]) -> None:
    """Void the flagged counts among these movements, once what they made up for is back in its lot.

    One that somebody else's correction made just now, while this entry waited for its cause, is locked here.
    """
    flagged = [each for each in movements if each.is_flagged and not each.voided_at]
    entry.load(StockMovement, [each.id for each in flagged])
    for movement in flagged:
        for lot_id, amount in movement.effects():
            shift(entry, entry.get(Lot, lot_id), -amount, entries=-1)
        facts.void(entry, movement)


def overdrawn(lot: Lot, short: int, field: str) -> dict[str, Any]:
    """Return the mark of what took more out of a lot than the book held."""
    detail = f"{told(short, lot)} more than the book held was taken out of the lot. Count what is left of it."
    return facts.mark("lot_overdrawn", detail, field)


def counted_since(entry: Entry, lot: Lot, at: datetime, field: str) -> facts.Marks:
    """Return the mark of what happened before the lot was last counted: the count may hold it already."""
    counts = [
        movement.on_date
        for movement in entry.list_of(StockMovement, "lot_id", lot.id)
        if movement.what == StockMovement.What.COUNT and movement.happened_at > at
        if not movement.is_flagged and not movement.voided_at
    ]
    if not counts:
        return []
    detail = f"The lot was counted on {max(counts)}, after this: the count may hold it already. Count once more."
    return [facts.mark("counted_since", detail, field)]


def told(amount: int, lot: Lot) -> str:
    """Return an amount of a lot in the words of the unit that it was received in."""
    return units.told(amount, lot.unit)
