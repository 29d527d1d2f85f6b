"""Stock: lots of product, and what went in and out of them without being mixed."""

from typing import Any

from django.db import models
from django.db.models import F, Q

from stewardship.accounts.models import Member
from stewardship.catalog.models import Product
from stewardship.rules.measures import amount_in
from stewardship.treatments.models.batches import Batch
from stewardship.treatments.models.facts import Fact, Voidable
from stewardship.treatments.models.leftovers import Leftover


class Lot(Voidable):
    """One purchase of a product: what was received, and what is left of it; a liquid by volume, a dry one by weight."""

    kind = "lot"
    derived = frozenset({"left_nl", "left_ug", "entries"})

    product = models.ForeignKey(Product, models.PROTECT, related_name="+", db_index=False)
    purchased_on = models.DateField("empty: unknown", null=True)
    received_nl = models.BigIntegerField("liquid received [nL]", null=True)
    received_value = models.CharField(max_length=40, null=True)  # noqa: DJ001
    received_unit = models.CharField(max_length=20, null=True)  # noqa: DJ001
    received_mass_ug = models.BigIntegerField("dry product received [µg]", null=True)
    received_mass_value = models.CharField(max_length=40, null=True)  # noqa: DJ001
    received_mass_unit = models.CharField(max_length=20, null=True)  # noqa: DJ001
    container = models.CharField("what it came in", max_length=200, blank=True)
    cost_cents = models.BigIntegerField("paid for it [hundredths of the currency]; empty: unknown", null=True)
    currency = models.CharField("ISO 4217 code", max_length=3, null=True)  # noqa: DJ001
    lot_number = models.CharField("as the maker prints it", max_length=100, blank=True)
    label_version = models.CharField("of the label on it", max_length=100, blank=True)
    store = models.CharField("where it is kept", max_length=200, blank=True)
    expires_on = models.DateField("last day of use as the maker states it; empty: not stated", null=True)
    left_nl = models.BigIntegerField("liquid left by the book [nL]", null=True)
    left_ug = models.BigIntegerField("dry product left by the book [µg]", null=True)
    entries = models.PositiveIntegerField("movements and draws that count", default=0)

    class Meta(Voidable.Meta):
        indexes = [*Voidable.Meta.indexes, models.Index(fields=["group", "product"], name="lots_of_a_product")]
        constraints = [
            models.CheckConstraint(
                name="a_lot_is_not_overdrawn",
                condition=(Q(left_nl=None) | Q(left_nl__gte=0)) & (Q(left_ug=None) | Q(left_ug__gte=0)),
            ),
            models.CheckConstraint(
                name="a_lot_holds_something_in_one_measure",
                condition=Q(received_nl__isnull=False, received_nl__gt=0, left_nl__isnull=False)
                & Q(received_mass_ug=None, left_ug=None)
                | Q(received_mass_ug__isnull=False, received_mass_ug__gt=0, left_ug__isnull=False)
                & Q(received_nl=None, left_nl=None),
            ),
            models.CheckConstraint(
                name="a_cost_has_a_currency",
                condition=Q(cost_cents=None, currency=None)
                | Q(cost_cents__isnull=False, cost_cents__gte=0, currency__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.received_as[0]} {self.unit} bought {self.purchased_on or 'on an unknown date'}"

    @property
    def base(self) -> str:
        """Return the base unit that it is kept in: ``ug`` of a dry product, else ``nl``."""
        return "nl" if self.received_mass_ug is None else "ug"

    @property
    def received(self) -> int:
        """Return what was received, in its base unit."""
        return amount_in(self.base, self.received_nl, self.received_mass_ug)

    @property
    def left(self) -> int:
        """Return what is left by the book, in its base unit."""
        return amount_in(self.base, self.left_nl, self.left_ug)

    @property
    def received_as(self) -> tuple[str, str]:
        """Return what was received as it was entered: the value and its unit."""
        if self.base == "ug":
            return self.received_mass_value or "", self.received_mass_unit or ""
        return self.received_value or "", self.received_unit or ""

    @property
    def unit(self) -> str:
        """Return the unit that it was received in."""
        return self.received_as[1]


class StockMovement(Fact):
    """Product or mix that came, went, was lost or was counted; a draw on a lot is none: the batch states it.

    ``delta_nl``, of a dry lot ``delta_ug``, is what it changed the lot by, with its sign; ``to_lot`` got the opposite.
    ``taken_nl`` is what it took out of the ``batch``, perhaps from a ``leftover`` of it; a leftover without a batch is
    of unknown contents. ``products`` is what left for good, as it was then: for each ``product`` its
    ``registration_no``, ``nl`` or ``ug``, and label strengths; of a batch, each part's share with its ``actives``. A
    count without an amount is one that nobody made: it makes up for what was taken beyond the book, by ``batch`` (its
    draw) or by ``cause`` (another movement), and stands until that is voided.
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
    mass_ug = models.BigIntegerField("moved of a dry lot, or counted [µg]", null=True)
    mass_value = models.CharField(max_length=40, null=True)  # noqa: DJ001
    mass_unit = models.CharField(max_length=20, null=True)  # noqa: DJ001
    delta_nl = models.BigIntegerField("what the lot gained or lost [nL]; empty: of a dry lot", null=True)
    delta_ug = models.BigIntegerField("what a dry lot gained or lost [µg]; empty: of a liquid, or a mix", null=True)
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
                name="only_a_count_may_lack_an_amount",
                condition=Q(volume_nl__isnull=False, volume_nl__gte=0, mass_ug=None, delta_ug=None)
                | Q(mass_ug__isnull=False, mass_ug__gte=0, volume_nl=None, delta_nl=None)
                | Q(what="count", volume_nl=None, mass_ug=None),
            ),
            models.CheckConstraint(
                name="a_movement_is_in_one_measure",
                condition=Q(delta_nl__isnull=False, delta_ug=None) | Q(delta_nl=None, delta_ug__isnull=False),
            ),
            models.CheckConstraint(name="a_transfer_goes_elsewhere", condition=Q(to_lot=None) | ~Q(to_lot=F("lot"))),
        ]

    def __str__(self) -> str:
        return f"{self.what} of {self.on_date}"

    @property
    def is_flagged(self) -> bool:
        """Whether it stands for what was taken beyond the book, until somebody counts."""
        return self.what == self.What.COUNT and self.volume_nl is None and self.mass_ug is None

    @property
    def is_of_a_mix(self) -> bool:
        """Whether it moved mix: out of a batch, or in a container of unknown contents."""
        return bool(self.taken_nl or self.leftover_id)

    @property
    def delta(self) -> int:
        """Return what the lot gained or lost, in the lot's base unit."""
        return amount_in("nl" if self.delta_ug is None else "ug", self.delta_nl, self.delta_ug)

    def effects(self) -> list[tuple[Any, int]]:
        """Return (lot's id, what it changes that lot by in its base unit) for each lot that it touches."""
        found = [(self.lot_id, self.delta)] if self.lot_id else []
        return found + ([(self.to_lot_id, -self.delta)] if self.to_lot_id else [])
