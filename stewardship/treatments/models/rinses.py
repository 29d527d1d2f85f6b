"""Rinse water: part of the books like the mix it held."""

from django.db import models
from django.db.models import Q

from stewardship.accounts.models import Member
from stewardship.treatments.models.batches import Batch
from stewardship.treatments.models.facts import Fact


class Rinse(Fact):
    """That a container was rinsed, how often, with how much, and where the water went.

    Without a volume it was a trace: not measured, never zero.
    """

    kind = "rinse"

    batch = models.ForeignKey(Batch, models.PROTECT, null=True, related_name="+", db_index=False)
    container = models.CharField("what was rinsed", max_length=200, blank=True)
    time_zone = models.CharField("the zone that its local date was told by", max_length=60)
    rinsed_at = models.DateTimeField()
    by = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    times = models.PositiveSmallIntegerField("how often")
    volume_nl = models.BigIntegerField("all the water [nL]; empty: a trace", null=True)
    volume_value = models.CharField(max_length=40, null=True)  # noqa: DJ001
    volume_unit = models.CharField(max_length=20, null=True)  # noqa: DJ001
    into_batch = models.ForeignKey(Batch, models.PROTECT, null=True, related_name="+", db_index=False)
    manner = models.TextField("how it was disposed of, where it went into no batch", blank=True)

    class Meta(Fact.Meta):
        constraints = [
            models.CheckConstraint(name="a_rinse_is_of_something", condition=Q(batch__isnull=False) | ~Q(container="")),
            models.CheckConstraint(name="a_rinse_is_done_at_least_once", condition=Q(times__gte=1)),
        ]

    def __str__(self) -> str:
        return f"{self.times} rinses of {self.on_date}"
