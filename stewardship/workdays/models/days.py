"""The work day."""

from zoneinfo import ZoneInfo

from django.db import models
from django.db.models import F, Q

from stewardship.journal.models import Record
from stewardship.places.models import Property
from stewardship.workdays.states import State


class WorkDay(Record):
    """A day on which people work on one property."""

    kind = "work_day"

    property = models.ForeignKey(Property, models.PROTECT, related_name="work_days", db_index=False)
    title = models.CharField(max_length=200)
    on_date = models.DateField("local date, by the clock of time_zone")
    time_zone = models.CharField("the property's zone, else the group's, when the day was planned", max_length=60)
    starts_at = models.DateTimeField(null=True)
    ends_at = models.DateTimeField(null=True)
    meeting_point = models.TextField(blank=True)
    note = models.TextField(blank=True)
    units = models.JSONField("ids of the units to work in", default=list)
    herbicide_planned = models.BooleanField(default=False)
    state = models.CharField(max_length=20, choices=State, default=State.DRAFT)
    state_reason = models.TextField("why it was stopped or cancelled", blank=True)
    stopped_at = models.DateTimeField("when it was stopped early", null=True)

    class Meta(Record.Meta):
        indexes = [
            *Record.Meta.indexes,
            models.Index(fields=["group", "property", "on_date"], name="work_days_of_a_property"),
            models.Index(fields=["group", "on_date"], name="work_days_by_date"),
        ]
        constraints = [
            models.CheckConstraint(name="a_work_day_ends_after_it_starts", condition=Q(ends_at__gt=F("starts_at"))),
            models.CheckConstraint(
                name="a_stopped_work_day_has_a_time_and_a_reason",
                condition=~Q(state=State.STOPPED) | Q(stopped_at__isnull=False) & ~Q(state_reason=""),
            ),
            models.CheckConstraint(
                name="a_cancelled_work_day_has_a_reason",
                condition=~Q(state=State.CANCELLED) | ~Q(state_reason=""),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.title}, {self.on_date}"

    def zone(self) -> ZoneInfo:
        """Return the zone by whose clock the day's dates are told."""
        return ZoneInfo(self.time_zone)
