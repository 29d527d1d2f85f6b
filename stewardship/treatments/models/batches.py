"""A batch: one quantity of mix, made once, and what was poured from one into another."""

from typing import Any
from uuid import UUID

from django.db import models
from django.db.models import F, Q

from stewardship.accounts.models import Member
from stewardship.journal.models import Projection
from stewardship.rules.measures import amount_of, base_of
from stewardship.treatments.models.facts import Answerable, Fact, HowKnown
from stewardship.treatments.models.lot_draws import LotDraw


class PouredFrom(Projection):
    """How much mix of another batch went into a batch: nothing, once that one is voided."""

    source = "batch"

    batch = models.ForeignKey("treatments.Batch", models.PROTECT, related_name="+", db_index=False)
    parent = models.ForeignKey("treatments.Batch", models.PROTECT, related_name="+", db_index=False)
    leftover = models.ForeignKey("treatments.Leftover", models.PROTECT, null=True, related_name="+", db_index=False)
    nl = models.BigIntegerField("mix of the other batch [nL]")

    class Meta(Projection.Meta):
        indexes = [
            models.Index(fields=["batch"], name="poured_into_a_batch"),
            models.Index(fields=["group", "parent"], name="poured_out_of_a_batch"),
        ]

    def __str__(self) -> str:
        return f"{self.nl} nL of {self.parent_id}"

    @classmethod
    def rows_of(cls, record: Any) -> list[dict[str, Any]]:
        """Return a row for each batch or leftover that was poured in."""
        return [
            {
                "batch_id": record.id,
                "parent_id": UUID(poured["batch"]),
                "leftover_id": UUID(poured["leftover"]) if poured["leftover"] else None,
                "nl": 0 if record.voided_at else poured["volume"]["nl"],
            }
            for poured in record.poured_from
        ]


class Batch(Answerable):
    """One quantity of mix, made once; an account that must balance.

    ``parts``: for each product ``product`` (id), ``name``, ``registration_no``, ``signal_word``, ``ingredients`` as the
    label stated them, ``nl`` in this mix, ``volume`` as poured (None where all of it came with another batch),
    ``planned``, and ``lots`` that it was drawn from, each with ``lot`` (id) and the amount. ``adjuvants``: ``name``,
    ``nl``, ``volume``. ``poured_from``: for each batch that was poured in, ``batch``, ``leftover`` (id or None),
    ``volume``, and what came with it: ``parts``, ``adjuvants``.
    """

    kind = "batch"
    stands_alone = True
    derived = frozenset({"used_nl", "used_parts", "poured_on", "lines", "bottles", "out_nl", "in_containers_nl"})
    follows = ("left_nl", "parts_left")
    projections = (PouredFrom, LotDraw)

    time_zone = models.CharField("the zone that its local date was told by", max_length=60)
    mixed_at = models.DateTimeField()
    mixed_by = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    mixed_where = models.TextField(blank=True)
    mix_nl = models.BigIntegerField("finished mix [nL]")
    mix_value = models.CharField(max_length=40)
    mix_unit = models.CharField(max_length=20)
    how_known = models.CharField(max_length=20, choices=HowKnown)
    carrier = models.CharField("what the products were mixed into", max_length=20)
    carrier_volume_nl = models.BigIntegerField("carrier as measured [nL]", null=True)
    carrier_volume_value = models.CharField(max_length=40, null=True)  # noqa: DJ001
    carrier_volume_unit = models.CharField(max_length=20, null=True)  # noqa: DJ001
    parts = models.JSONField("products: nl in this mix, volume as poured, label strengths as mixed, lots")
    adjuvants = models.JSONField("adjuvants and dye: nl in this mix, volume as poured", default=list)
    poured_from = models.JSONField("batches that it was topped up from", default=list)
    photos = models.JSONField("named files: pictures of its tag", default=list)
    closed_at = models.DateTimeField(null=True)
    difference_nl = models.BigIntegerField("measuring difference that was booked [nL]", default=0)
    difference_parts = models.JSONField("of each part, in that difference [nL, µg of a dry one]", default=list)
    used_nl = models.BigIntegerField("mix taken out so far [nL]", default=0)
    used_parts = models.JSONField("of each part, taken out so far [nL, µg of a dry one]", default=list)
    poured_on = models.JSONField("batches that it was poured into: batch, nl, at, how_known", default=list)
    lines = models.PositiveIntegerField("what draws on it: applications, top-ups, movements", default=0)
    bottles = models.PositiveIntegerField("outings of numbered bottles filled from it", default=0)
    out_nl = models.BigIntegerField("in bottles that are out [nL]", default=0)
    in_containers_nl = models.BigIntegerField("used out of bottles and in no line yet [nL]", default=0)

    class Meta(Fact.Meta):
        indexes = [*Fact.Meta.indexes, models.Index(fields=["group", "work_day"], name="batches_of_a_work_day")]
        constraints = [
            models.CheckConstraint(
                name="a_batch_is_not_overdrawn",
                condition=Q(used_nl__gte=0, used_nl__lte=F("mix_nl") - F("difference_nl")),
            ),
            models.CheckConstraint(name="a_batch_holds_something", condition=Q(mix_nl__gt=0)),
            models.CheckConstraint(
                name="only_a_closed_batch_has_a_difference", condition=Q(closed_at__isnull=False) | Q(difference_nl=0)
            ),
        ]

    def __str__(self) -> str:
        return f"{self.mix_value} {self.mix_unit} of {self.on_date}"

    @property
    def left_nl(self) -> int:
        """Return the mix that is left [nL]: by the book, or once it is closed by what was measured."""
        return self.mix_nl - self.used_nl - self.difference_nl

    @property
    def amounts_left(self) -> list[int]:
        """Return what is left of each part, in its own base unit."""
        differences = self.difference_parts or [0] * len(self.parts)
        taken = zip(self.parts, self.used_parts, differences, strict=True)
        return [amount_of(part) - used - off for part, used, off in taken]

    @property
    def parts_left(self) -> list[dict[str, Any]]:
        """Return for each product of the mix its id and what is left of it: ``left_nl``, of a dry one ``left_ug``."""
        left = zip(self.parts, self.amounts_left, strict=True)
        return [{"product": part["product"], f"left_{base_of(part)}": amount} for part, amount in left]
