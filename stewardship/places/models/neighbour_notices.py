"""Who is to be told before work, and every attempt to tell them."""

from typing import Any

from django.db import models
from django.db.models import F, Q

from stewardship.journal.models import COORDINATORS, Record
from stewardship.places.models.land import Property
from stewardship.places.models.papers import LandPermission


class NeighbourNotice(Record):
    """A neighbour, or with ``permission`` the landowner, who is to be told of herbicide work on these days.

    Names and addresses of neighbours are theirs: only coordinators read it. ``attempts``: each ``at``, ``how``, ``by``
    (member id), ``outcome`` in words, ``told`` (whether it counts as told).
    """

    kind = "neighbour_notice"

    property = models.ForeignKey(Property, models.PROTECT, related_name="+", db_index=False)
    permission = models.ForeignKey(LandPermission, models.PROTECT, null=True, related_name="+", db_index=False)
    name = models.CharField(max_length=200)
    address = models.TextField("in words", blank=True)
    distance_nm = models.BigIntegerField("from the work [nm]", null=True)
    distance_value = models.CharField(max_length=40, null=True)  # noqa: DJ001
    distance_unit = models.CharField(max_length=20, null=True)  # noqa: DJ001
    registered = models.BooleanField("in a register of people who must be told; none: not known", null=True)
    first_on = models.DateField("first day of the work")
    last_on = models.DateField("last day of the work")
    attempts = models.JSONField(default=list)
    told_at = models.DateTimeField("when they were told last", null=True)
    note = models.TextField(blank=True)
    voided_at = models.DateTimeField(null=True)

    class Meta(Record.Meta):
        indexes = [
            *Record.Meta.indexes,
            models.Index(fields=["group", "property", "last_on"], name="notices_of_a_property"),
        ]
        constraints = [
            models.CheckConstraint(
                name="a_notice_is_for_a_first_and_a_last_day", condition=Q(last_on__gte=F("first_on"))
            )
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.first_on}"

    def audience(self) -> str:
        """Return coordinators: what stands here of neighbours is theirs."""
        return COORDINATORS

    @classmethod
    def visible_to(cls, actor: Any) -> Q:
        """Return the condition on the rows that this actor may read: a coordinator all, nobody else any."""
        return Q() if actor.audiences() is None else Q(pk__in=[])
