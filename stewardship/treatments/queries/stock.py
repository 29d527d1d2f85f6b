"""What is in stock, lot by lot, and each lot's own ledger: whole base units that add up to what is left.

received + moved - drawn = left, for each lot and for each product: in nanolitres, of a dry product in micrograms.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db.models import BooleanField, ExpressionWrapper, F, Max, Q, Sum

from stewardship.catalog.models import Product
from stewardship.treatments.models import Lot, LotDraw, StockMovement
from stewardship.treatments.services.facts import Marks, mark
from stewardship.treatments.services.lot_draws import FIELD, label_outdated, past_shelf_life
from stewardship.treatments.services.stock import told

What = StockMovement.What

_CHANGES = {"sum_nl": Sum("delta_nl"), "sum_ug": Sum("delta_ug")}

MOVED = (
    "receipt", "return", "transfer_in", "transfer_out", "loss", "spill", "disposal", "count", "not_counted",
)  # fmt: skip
"""By what a lot is moved; ``not_counted`` is what makes up for what was taken beyond the book."""


@dataclass(frozen=True)
class LotInStock:
    """A lot as it stands on a date. ``moved``: one sum in its base unit, with its sign, for each of ``MOVED``."""

    lot: Lot
    moved: Mapping[str, int]
    drawn: int
    age_days: int | None
    counted_at: datetime | None
    to_count: bool
    marks: Marks

    @property
    def otherwise(self) -> int:
        """Return what changed it beside draws, with its sign."""
        return sum(self.moved.values())


@dataclass(frozen=True)
class ProductInStock:
    """A product with its lots, the oldest first, those of unknown age last; all of them are kept in one measure."""

    product: Product
    lots: list[LotInStock]

    @property
    def base(self) -> str:
        """Return the base unit of all its sums: ``ug`` of a dry product, else ``nl``."""
        return self.lots[0].lot.base

    @property
    def received(self) -> int:
        """Return what was received with its lots."""
        return sum(each.lot.received for each in self.lots)

    @property
    def moved(self) -> dict[str, int]:
        """Return what moved its lots, by what."""
        return {what: sum(each.moved[what] for each in self.lots) for what in MOVED}

    @property
    def drawn(self) -> int:
        """Return what batches drew from its lots."""
        return sum(each.drawn for each in self.lots)

    @property
    def left(self) -> int:
        """Return what is left in its lots by the book."""
        return sum(each.lot.left for each in self.lots)


@dataclass
class _Sums:
    """What one lot's movements come to."""

    moved: dict[str, int] = field(default_factory=lambda: dict.fromkeys(MOVED, 0))
    counted: datetime | None = None
    """When the newest count was entered; ``counted_at``: when it was made."""
    counted_at: datetime | None = None
    flagged: datetime | None = None
    """When what is not yet counted was entered last."""

    def add(self, row: Mapping[str, Any]) -> None:
        """Add the movements of one kind."""
        self.moved[_kind(row["what"], is_flagged=row["flagged"])] += _sum_of(row)
        if row["flagged"]:
            self.flagged = row["entered"]
        elif row["what"] == What.COUNT:
            self.counted, self.counted_at = row["entered"], row["at"]

    @property
    def to_count(self) -> bool:
        """Whether something was taken beyond the book and no count was entered after it."""
        return self.flagged is not None and (self.counted is None or self.counted <= self.flagged)


def stock(group_id: UUID, on: date, *, product_id: UUID | None = None) -> list[ProductInStock]:
    """Return the products in stock by name, each with its lots that are not voided; four statements.

    A product that was entered in the other measure first stands twice: nothing adds the two.
    A lot's age, and whether it is past its shelf life, are told as of the local date ``on``.
    """
    lots = Lot.objects.filter(group_id=group_id, voided_at=None).select_related("product")
    if product_id:
        lots = lots.filter(product_id=product_id)
    in_order = lots.order_by("product__name", "product_id", F("purchased_on").asc(nulls_last=True), "id")
    sums, drawn = _sums(group_id), _drawn(group_id)
    found: dict[tuple[UUID, str], list[LotInStock]] = {}
    for lot in in_order:
        standing = _standing(lot, sums.get(lot.id, _Sums()), drawn.get(lot.id, 0), on)
        found.setdefault((lot.product_id, lot.base), []).append(standing)
    return [ProductInStock(lots[0].lot.product, lots) for lots in found.values()]


def _sums(group_id: UUID) -> dict[UUID, _Sums]:
    living = StockMovement.objects.filter(group_id=group_id, voided_at=None)
    flagged = ExpressionWrapper(Q(volume_nl__isnull=True, mass_ug__isnull=True), output_field=BooleanField())
    by_kind = living.filter(lot__isnull=False).annotate(flagged=flagged).values("lot_id", "what", "flagged")
    found: dict[UUID, _Sums] = {}
    for row in by_kind.annotate(**_CHANGES, entered=Max("entered_at"), at=Max("happened_at")).order_by():
        found.setdefault(row["lot_id"], _Sums()).add(row)
    given = living.filter(to_lot__isnull=False).values("to_lot_id").annotate(**_CHANGES).order_by()
    for row in given:
        found.setdefault(row["to_lot_id"], _Sums()).moved["transfer_in"] -= _sum_of(row)
    return found


def _drawn(group_id: UUID) -> dict[UUID, int]:
    drawn = LotDraw.objects.filter(group_id=group_id).values("lot_id")
    rows = drawn.annotate(sum_nl=Sum("nl"), sum_ug=Sum("ug")).order_by()
    return {row["lot_id"]: _sum_of(row) for row in rows}


def _sum_of(row: Mapping[str, Any]) -> int:
    """Return the sum of what concerns one lot: it is kept in one measure, and the other column is empty."""
    amount: int = row["sum_nl"] if row["sum_ug"] is None else row["sum_ug"]
    return amount


def _kind(what: str, *, is_flagged: bool) -> str:
    if is_flagged:
        return "not_counted"
    return "transfer_out" if what == What.TRANSFER else what


def _standing(lot: Lot, sums: _Sums, drawn: int, on: date) -> LotInStock:
    marks = [*past_shelf_life(lot, on), *label_outdated(lot, lot.product)] if lot.left else []
    if sums.to_count:
        detail = f"{told(sums.moved['not_counted'], lot)} were taken out beyond the book. Count what is left of it."
        marks.append(mark("count_wanted", detail, "lot"))
    return LotInStock(
        lot=lot,
        moved=sums.moved,
        drawn=drawn,
        age_days=(on - lot.purchased_on).days if lot.purchased_on else None,
        counted_at=sums.counted_at,
        to_count=sums.to_count,
        marks=marks,
    )


# -- one lot's ledger ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Line:
    """One entry of a lot's ledger: what changed it, by how much, and what it then held by date, in its base unit.

    ``record`` is the StockMovement, or the Batch that drew on it. In the order of dates the balance may be below
    nothing where a receipt is dated after what was drawn from it; at the end it never is.
    """

    record: Any
    what: str
    at: datetime
    on: date
    change: int
    balance: int

    @property
    def marks(self) -> Marks:
        """Return what is marked about it, of a batch only what concerns its lots."""
        found: Marks = self.record.marks
        return [mark for mark in found if mark["field"] == FIELD] if self.what == "draw" else found


@dataclass(frozen=True)
class Ledger:
    """A lot's entries from one date to another: opening + their changes = closing, in its base unit."""

    opening: int
    lines: list[Line]
    closing: int


def ledger(lot: Lot, *, first_on: date | None = None, last_on: date | None = None) -> Ledger:
    """Return a lot's ledger between two local dates, both included; two statements.

    It opens with what was received with the lot and what was moved before ``first_on``. What is voided is not in it.
    """
    balance = opening = lot.received
    lines: list[Line] = []
    for record, what, at, on, change in sorted(
        _entries(lot), key=lambda each: (each[2], each[0].entered_at, each[0].id)
    ):
        if last_on and on > last_on:
            continue
        balance += change
        if first_on and on < first_on:
            opening += change
        else:
            lines.append(Line(record, what, at, on, change, balance))
    return Ledger(opening, lines, balance)


Entered = tuple[Any, str, datetime, date, int]


def _entries(lot: Lot) -> Iterator[Entered]:
    living = StockMovement.objects.filter(Q(lot=lot) | Q(to_lot=lot), group_id=lot.group_id, voided_at=None)
    for movement in living.select_related("by"):
        what, change = _kind(movement.what, is_flagged=movement.is_flagged), movement.delta
        if movement.to_lot_id == lot.id:
            what, change = "transfer_in", -change
        yield movement, what, movement.happened_at, movement.on_date, change
    yield from _draws(LotDraw.objects.filter(lot=lot, group_id=lot.group_id, batch__voided_at=None))


def _draws(rows: Any) -> Iterable[Entered]:
    for drawn in rows.select_related("batch__mixed_by"):
        yield drawn.batch, "draw", drawn.batch.mixed_at, drawn.batch.on_date, -drawn.amount
