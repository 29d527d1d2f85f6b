"""A container: one outing of a numbered bottle that somebody carries."""

from django.db import models
from django.db.models import F, Q

from stewardship.accounts.models import Member
from stewardship.treatments.models.batches import Batch
from stewardship.treatments.models.facts import Fact, HowKnown


class Container(Fact):
    """One outing of a numbered bottle: filled from a batch, out and back. A measure; the lines draw on the batch."""

    kind = "container"
    derived = frozenset({"in_lines_nl"})
    follows = ("used_nl", "unshared_nl")

    time_zone = models.CharField("the zone that its local date was told by", max_length=60)
    number = models.CharField("what is painted on the bottle", max_length=40)
    batch = models.ForeignKey(Batch, models.PROTECT, related_name="containers", db_index=False)
    holder = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    filled_nl = models.BigIntegerField("filled with [nL]")
    filled_value = models.CharField(max_length=40)
    filled_unit = models.CharField(max_length=20)
    capacity_nl = models.BigIntegerField("what it holds [nL]", null=True)
    capacity_value = models.CharField(max_length=40, null=True)  # noqa: DJ001
    capacity_unit = models.CharField(max_length=20, null=True)  # noqa: DJ001
    out_at = models.DateTimeField()
    back_nl = models.BigIntegerField("what came back in it [nL]", null=True)
    back_value = models.CharField(max_length=40, null=True)  # noqa: DJ001
    back_unit = models.CharField(max_length=20, null=True)  # noqa: DJ001
    back_tap = models.CharField("what came back, as it was tapped: full, 3/4, 1/2, 1/4, empty", max_length=5, null=True)  # noqa: DJ001
    back_at = models.DateTimeField(null=True)
    how_known = models.CharField("how what was used is known", max_length=20, choices=HowKnown, blank=True)
    split = models.JSONField("how it was split last: each line with its stems and its stated share", default=list)
    in_lines_nl = models.BigIntegerField("of what was used, in lines that count [nL]", default=0)

    class Meta(Fact.Meta):
        indexes = [
            *Fact.Meta.indexes,
            models.Index(fields=["group", "batch"], name="containers_of_a_batch"),
            models.Index(fields=["group", "work_day"], name="containers_of_a_work_day"),
            models.Index(fields=["group", "number"], name="containers_of_a_number"),
        ]
        constraints = [
            models.CheckConstraint(name="a_container_is_filled_with_something", condition=Q(filled_nl__gt=0)),
            models.CheckConstraint(
                name="a_container_brings_back_no_more_than_it_took",
                condition=Q(back_nl=None) | Q(back_nl__gte=0, back_nl__lte=F("filled_nl")),
            ),
            models.CheckConstraint(
                name="a_container_comes_back_after_it_went_out",
                condition=Q(back_nl=None, back_at=None) | Q(back_nl__isnull=False, back_at__gte=F("out_at")),
            ),
            models.CheckConstraint(
                name="a_container_has_no_less_than_nothing_in_lines", condition=Q(in_lines_nl__gte=0)
            ),
        ]

    def __str__(self) -> str:
        return f"bottle {self.number} of {self.on_date}"

    @property
    def used_nl(self) -> int | None:
        """Return what was used of it [nL]; None while it is out."""
        return None if self.back_nl is None else self.filled_nl - self.back_nl

    @property
    def unshared_nl(self) -> int | None:
        """Return what was used of it and stands in no line yet [nL]; None while it is out."""
        return None if self.used_nl is None else max(0, self.used_nl - self.in_lines_nl)

    def in_batch(self) -> dict[str, int]:
        """Return what this bottle adds to its batch's derived columns: nothing once it is voided."""
        if self.voided_at:
            return {"bottles": 0, "out_nl": 0, "in_containers_nl": 0}
        if self.unshared_nl is None:
            return {"bottles": 1, "out_nl": max(0, self.filled_nl - self.in_lines_nl), "in_containers_nl": 0}
        return {"bottles": 1, "out_nl": 0, "in_containers_nl": self.unshared_nl}
