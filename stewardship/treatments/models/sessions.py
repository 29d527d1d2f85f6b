"""A treatment session."""

from django.db import models
from django.db.models import F, Q

from stewardship.accounts.models import Member
from stewardship.places.models import Property, Unit
from stewardship.treatments.models.facts import Fact


class Session(Fact):
    """One treatment session by one applicator; it may stand without a work day."""

    kind = "session"

    property = models.ForeignKey(Property, models.PROTECT, related_name="+", db_index=False)
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="+", db_index=False)
    time_zone = models.CharField("the zone that its local date was told by", max_length=60)
    applicator = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)

    class Meta(Fact.Meta):
        indexes = [
            *Fact.Meta.indexes,
            models.Index(fields=["group", "property", "on_date"], name="sessions_of_a_property"),
            models.Index(fields=["group", "work_day"], name="sessions_of_a_work_day"),
        ]
        constraints = [
            models.CheckConstraint(
                name="a_session_ends_after_it_begins",
                condition=Q(ended_at__isnull=True) | Q(ended_at__gte=F("started_at")),
            )
        ]

    def __str__(self) -> str:
        return f"session of {self.on_date}"
