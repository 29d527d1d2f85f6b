"""Stock: lots of product, and what went in and out of them without being mixed."""

from typing import Any

from django.db import models
from django.db.models import F, Q

from stewardship.accounts.models import Member
from stewardship.catalog.models import Product
from stewardship.treatments.models.batches import Batch
from stewardship.treatments.models.facts import Fact, Voidable
from stewardship.treatments.models.leftovers import Leftover


class Lot(Voidable):
    """One purchase of a product: what was received, and what is left of it."""

    kind = "lot"
    derived = frozenset({"left_nl", "entries"})

    product = models.ForeignKey(Product, models.PROTECT, related_name="+", db_index=False)
    purchased_on = models.DateField("empty: unknown", null=True)
    received_nl = models.BigIntegerField("product received [nL]")
    received_value = models.CharField(max_length=40)
    received_unit = models.CharField(max_length=20)
    container = models.CharField("what it came in", max_length=200, blank=True)
    cost_cents = models.BigIntegerField("paid for it [hundredths of the currency]; empty: unknown", null=True)
    currency = models.CharField("ISO 4217 code", max_length=3, null=True)  # noqa: DJ001
    lot_number = models.CharField("as the maker prints it", max_length=100, blank=True)
    label_version = models.CharField("of the label on it", max_length=100, blank=True)
    store = models.CharField("where it is kept", max_length=200, blank=True)
    expires_on = models.DateField("last day of use as the maker states it; empty: not stated", null=True)
    left_nl = models.BigIntegerField("product left by the book [nL]")
    entries = models.PositiveIntegerField("movements and draws that count", default=0)

    class Meta(Voidable.Meta):
        indexes = [*Voidable.Meta.indexes, models.Index(fields=["group", "product"], name="lots_of_a_product")]
        constraints = [
            models.CheckConstraint(name="a_lot_is_not_overdrawn", condition=Q(left_nl__gte=0)),
            models.CheckConstraint(name="a_lot_holds_something", condition=Q(received_nl__gt=0)),
            models.CheckConstraint(
                name="a_cost_has_a_currency",
                condition=Q(cost_cents=None, currency=None)
                | Q(cost_cents__isnull=False, cost_cents__gte=0, currency__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.received_value} {self.received_unit} bought {self.purchased_on or 'on an unknown date'}"


class StockMovement(Fact):
    """Product or mix that came, went, was lost or was counted; a draw on a lot is none: the batch states it.

    ``delta_nl`` is what it changed the lot by, with its sign; ``to_lot`` got the opposite. ``taken_nl`` is what it took
    out of the ``batch``, perhaps from a ``leftover`` of it; a leftover without a batch is of unknown contents.
    ``products`` is what left for good, as it was then: for each ``product`` its ``registration_no``, ``nl`` and label
    strengths; of a batch, each part's share with its ``actives``. A count without
    a volume is one that nobody made: it makes up for what was taken beyond the book, by ``batch`` (its draw) or by
    ``cause`` (another movement), and stands until that is voided.
    """

    kind = "stock_movement"

    class What(models.TextChoices):
        """What happened to the product."""

        RECEIPT = "receipt"
        RETURN = "return"
        TRANSFER = "transfer"
        LOSS = "loss"
        SPILL = "spill"
        DISPOSAL = "disposal"
        COUNT = "count"

    what = models.CharField(max_length=20, choices=What)
    lot = models.ForeignKey(Lot, models.PROTECT, null=True, related_name="+", db_index=False)
    to_lot = models.ForeignKey(Lot, models.PROTECT, null=True, related_name="+", db_index=False)
    batch = models.ForeignKey(Batch, models.PROTECT, null=True, related_name="+", db_index=False)
    leftover = models.ForeignKey(Leftover, models.PROTECT, null=True, related_name="+", db_index=False)
    taken_nl = models.BigIntegerField("mix taken out of the batch [nL]", default=0)
    cause = models.ForeignKey("self", models.PROTECT, null=True, related_name="+", db_index=False)
    volume_nl = models.BigIntegerField("moved, or counted [nL]", null=True)
    volume_value = models.CharField(max_length=40, null=True)  # noqa: DJ001
    volume_unit = models.CharField(max_length=20, null=True)  # noqa: DJ001
    delta_nl = models.BigIntegerField("what the lot gained or lost [nL]", default=0)
    products = models.JSONField("what left for good, with label strengths as they stood", default=list)
    time_zone = models.CharField("the zone that its local date was told by", max_length=60)
    happened_at = models.DateTimeField()
    by = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    manner = models.TextField("how it was disposed of, or where it went", blank=True)
    receipt_no = models.CharField("of the collector or the shop", max_length=100, blank=True)
    incident = models.TextField("what happened and what was done about it", blank=True)
    reason = models.TextField("why a count differs from the book", blank=True)

    class Meta(Fact.Meta):
        indexes = [
            *Fact.Meta.indexes,
            models.Index(fields=["group", "lot"], name="movements_of_a_lot"),
            models.Index(fields=["group", "to_lot"], name="movements_into_a_lot"),
            models.Index(fields=["group", "batch"], name="movements_of_a_batch"),
            models.Index(fields=["cause"], name="counts_for_a_movement"),
        ]
        constraints = [
            models.CheckConstraint(
                name="a_movement_is_of_something",
                condition=Q(lot__isnull=False) | Q(batch__isnull=False) | Q(leftover__isnull=False),
            ),
            models.CheckConstraint(
                name="only_a_count_may_lack_a_volume",
                condition=Q(volume_nl__isnull=False, volume_nl__gte=0) | Q(what="count", volume_nl=None),
            ),
            models.CheckConstraint(name="a_transfer_goes_elsewhere", condition=Q(to_lot=None) | ~Q(to_lot=F("lot"))),
        ]

    def __str__(self) -> str:
        return f"{self.what} of {self.on_date}"

    @property
    def is_flagged(self) -> bool:
        """Whether it stands for what was taken beyond the book, until somebody counts."""
        return self.what == self.What.COUNT and self.volume_nl is None

    @property
    def is_of_a_mix(self) -> bool:
        """Whether it moved mix: out of a batch, or in a container of unknown contents."""
        return bool(self.taken_nl or self.leftover_id)

    def effects(self) -> list[tuple[Any, int]]:
        """Return (lot's id, what it changes that lot by [nL]) for each lot that it touches."""
        found = [(self.lot_id, self.delta_nl)] if self.lot_id else []
        return found + ([(self.to_lot_id, -self.delta_nl)] if self.to_lot_id else [])
