"""What goes in and out of a lot without being mixed: came, moved, was lost, was disposed of, was counted."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from stewardship.catalog.labels import ingredient_snapshot
from stewardship.catalog.models import Product
from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns
from stewardship.journal.ids import new_id
from stewardship.places.zones import group_zone
from stewardship.rules.dates import local_date
from stewardship.rules.measures import MEASURE, base_of
from stewardship.rules.shares import AmountNotPositive
from stewardship.rules.units import told
from stewardship.treatments import fields
from stewardship.treatments.models import Lot, StockMovement
from stewardship.treatments.services import facts, mix_movements, stock
from stewardship.treatments.services.stock import Occasion
from stewardship.workdays.models import WorkDay

What = StockMovement.What


class CountNeedsReason(RuleViolation):
    """A count that differs from the book says why."""

    code = "count_needs_reason"
    message = "The book holds {book}, and {counted} was counted: {difference}. Say why, as far as you know."
    where = "reason"


class LotToItself(RuleViolation):
    """A transfer goes elsewhere."""

    code = "lot_to_itself"
    message = "The product would go into the lot that it comes from. Choose another lot, or leave it out."
    where = "to_lot"


class NotTransferred(RuleViolation):
    """Only a transfer goes to another lot."""

    code = "not_transferred"
    message = "Only a transfer names a lot that the product goes to. Leave it out, or say that it was transferred."
    where = "to_lot"


class CountNotMade(RuleViolation):
    """A flagged count goes with what made it."""

    code = "count_not_made"
    message = "This count only stands for what was taken beyond the book. Count the lot, or correct what was taken out."


@dataclass(frozen=True)
class Move:
    """A movement of a lot as it is decided: its values, its lots under their lock, the occasion of it."""

    id: UUID
    values: dict[str, Any]
    lot: Lot
    to_lot: Lot | None
    occasion: Occasion

    @property
    def measure(self) -> str:
        """Return the field that says how much: ``volume``, of a dry lot ``mass``."""
        return MEASURE[self.lot.base]

    @property
    def amount(self) -> int:
        """Return how much is stated, in the lot's base unit."""
        amount: int = self.values[f"{self.measure}_{self.lot.base}"]
        return amount

    def some(self) -> int:
        """Return how much is stated, above nothing. Raises AmountNotPositive."""
        if self.amount <= 0:
            raise AmountNotPositive(what="what was moved", where=self.measure)
        return self.amount


@dataclass(frozen=True)
class Moved:
    """What a movement changed its lot by in the lot's base unit, and what is marked about it."""

    delta: int
    marks: facts.Marks


def record_movement(entry: Entry, new: fields.NewStockMovement) -> StockMovement:
    """Record what went in or out of a lot, or out of a mix.

    More than the book of a lot held is recorded, marked, and wants a count; a mix gives no more than is left of it.
    """
    day = None if new.work_day is None else entry.get(WorkDay, new.work_day)
    zone = day.zone() if day else group_zone(entry)
    id, on = new.id or new_id(), local_date(new.happened_at, zone)
    values = {name: value for name, value in columns(new).items() if name not in MEASURE.values()}
    values |= {"reason": new.reason, "on_date": on, "time_zone": zone.key}
    values["marks"] = facts.day_marks(day) + facts.date_marks(day, on, "happened_at")
    if new.batch or new.leftover:
        values["marks"] += _unsaid(values)
        return entry.create(StockMovement, id=id, **values | mix_movements.moved(entry, values))
    values |= _moved(entry, id, values)
    assert new.lot
    lot = entry.get(Lot, new.lot)
    if new.what != "count":
        values["marks"] += stock.counted_since(entry, lot, new.happened_at, "happened_at")
    if new.what in LEAVES and new.to_lot is None:
        values["products"] = [_left(entry, lot, -values[f"delta_{lot.base}"])]
    return entry.create(StockMovement, id=id, **values)


def void_movement(entry: Entry, wish: Target) -> StockMovement:
    """Take a movement back, with the count that it may have wanted. Voiding it again changes nothing."""
    movement = entry.get(StockMovement, wish.id)
    if movement.is_flagged:
        raise CountNotMade
    if not movement.voided_at:
        for lot_id, amount in movement.effects():
            stock.shift(entry, entry.get(Lot, lot_id), -amount, entries=-1)
        mix_movements.take_back(entry, movement)
        stock.take_flags_back(entry, entry.list_of(StockMovement, "cause_id", movement.id))
    return facts.void(entry, movement)


def reinstate_movement(entry: Entry, wish: Target) -> StockMovement:
    """Put a voided movement back; a count is compared with what the book holds now."""
    movement = facts.voided(entry, StockMovement, wish)
    if movement.is_flagged:
        raise CountNotMade
    if movement.is_of_a_mix:
        return entry.change(movement, voided_at=None, **mix_movements.moved(entry, vars(movement)))
    marks = [mark for mark in movement.marks if mark["field"] not in MARKED]
    values = vars(movement) | {"marks": marks}
    values = _moved(entry, movement.id, values)
    products = [p | {base_of(p): -values[f"delta_{base_of(p)}"]} for p in movement.products]
    return entry.change(movement, voided_at=None, products=products, **values)


def _moved(entry: Entry, id: UUID, values: dict[str, Any]) -> dict[str, Any]:
    """Move it, and return the columns that follow. Raises ProductIsDry, ProductIsLiquid."""
    lot = stock.living_lot(entry, values["lot_id"])
    base = "ug" if values.get("mass_unit") else "nl"
    stock.check_kept_in(entry, lot, base, MEASURE[base])
    to_lot = stock.living_lot(entry, values["to_lot_id"]) if values.get("to_lot_id") else None
    if to_lot and values["what"] != What.TRANSFER:
        raise NotTransferred
    occasion = Occasion(values["happened_at"], values["on_date"], values["time_zone"], values["by_id"], cause_id=id)
    moved = MOVES[values["what"]](entry, Move(id, values, lot, to_lot, occasion))
    return {f"delta_{base}": moved.delta, "marks": values["marks"] + moved.marks}


# -- what moves a lot, and how -------------------------------------------------------------------------


def _put_in(entry: Entry, move: Move) -> Moved:
    amount = move.some()
    stock.shift(entry, move.lot, amount, entries=1)
    return Moved(amount, [])


def _take_out(entry: Entry, move: Move) -> Moved:
    taken = stock.take_out(entry, move.lot, move.some(), move.occasion)
    marks = [stock.overdrawn(move.lot, taken.short, move.measure)] if taken.short else []
    return Moved(-taken.amount, marks + _unsaid(move.values))


def _transfer(entry: Entry, move: Move) -> Moved:
    if move.to_lot is None:
        return _take_out(entry, move)
    if move.to_lot is move.lot:
        raise LotToItself
    if move.to_lot.product_id != move.lot.product_id:
        raise stock.LotOfOtherProduct(where="to_lot")
    stock.check_kept_in(entry, move.to_lot, move.lot.base, move.measure)
    moved = _take_out(entry, move)
    stock.shift(entry, move.to_lot, -moved.delta, entries=1)
    return moved


def _count(entry: Entry, move: Move) -> Moved:
    """Set the lot to what was counted; a difference of no more than one base unit for each entry is rounding."""
    lot, difference = move.lot, move.amount - move.lot.left
    if abs(difference) > lot.entries + 1 and not move.values["reason"].strip():
        unit = move.values[f"{move.measure}_unit"]
        less_or_more = f"{told(abs(difference), unit)} {'less' if difference < 0 else 'more'}"
        counted, book = told(move.amount, unit), told(lot.left, unit)
        raise CountNeedsReason(book=book, counted=counted, difference=less_or_more)
    stock.shift(entry, lot, difference, entries=1)
    return Moved(difference, [])


MOVES: dict[str, Callable[[Entry, Move], Moved]] = {
    What.RECEIPT: _put_in,
    What.RETURN: _put_in,
    What.TRANSFER: _transfer,
    What.LOSS: _take_out,
    What.SPILL: _take_out,
    What.DISPOSAL: _take_out,
    What.COUNT: _count,
}
"""What happened -> how it moves its lot."""

LEAVES = (What.TRANSFER, What.LOSS, What.SPILL, What.DISPOSAL)
"""What takes product out of the group's hands, unless it goes to another lot of the group."""

MARKED = ("volume", "mass", "manner", "incident")
"""The fields that a movement is marked about when it is made; others are marked by its day."""


def _unsaid(values: dict[str, Any]) -> facts.Marks:
    """Return a mark for what is to be said of product that left, and was not.

    Georgia Rule 40-21-5 (2 years): names, concentrations and quantities disposed of and how; unexpected occurrences
    such as a spill, with the corrective action. Whether a loss was a spill is asked by common practice, no source.
    """
    what = values["what"]
    if what in (What.SPILL, What.LOSS) and not values["incident"].strip():
        detail = "Say what happened and what was done about it: a loss may be a spill."
        return [facts.mark("incident_unanswered", detail, "incident", "Georgia Rule 40-21-5")]
    if what == What.DISPOSAL and not values["manner"].strip():
        detail = "Say how and where it was disposed of."
        return [facts.mark("manner_unstated", detail, "manner", "Georgia Rule 40-21-5")]
    if what == What.TRANSFER and not values.get("to_lot_id") and not values["manner"].strip():
        return [facts.mark("manner_unstated", "Say to whom it went: it left the group.", "manner")]
    return []


def _left(entry: Entry, lot: Lot, amount: int) -> dict[str, Any]:
    """Return what left for good: the product with its label strengths as they stand, and how much in its measure."""
    product = entry.get(Product, lot.product_id)
    return {
        "product": str(product.id),
        "registration_no": product.registration_no,
        lot.base: amount,
        "ingredients": ingredient_snapshot(product),
    }
