"""What went wrong: the group reads what happened, the coordinators who was hurt."""

from typing import Any

from django.db import models
from django.db.models import F, Q

from stewardship.journal.models import COORDINATORS, Record
from stewardship.places.models import Property
from stewardship.workdays.models.days import WorkDay


class IncidentKind(models.TextChoices):
    """What kind of thing happened."""

    SPILL = "spill", "spill"
    EXPOSURE = "exposure", "exposure"
    INJURY = "injury", "injury"
    DRIFT = "drift", "drift"
    OTHER = "other", "something else"


class Incident(Record):
    """What happened, without anybody's health in it; ``notified``: whom, at, how, of each who was told."""

    kind = "incident"

    property = models.ForeignKey(Property, models.PROTECT, related_name="+", db_index=False)
    work_day = models.ForeignKey(WorkDay, models.PROTECT, null=True, related_name="incidents", db_index=False)
    what = models.CharField(max_length=20, choices=IncidentKind)
    happened_at = models.DateTimeField()
    time_zone = models.CharField("of the property, when it was reported", max_length=60)
    words = models.TextField("what happened; nothing about anybody's health")
    first_action = models.TextField("what was done at once", blank=True)
    notified = models.JSONField(default=list)
    answered_at = models.DateTimeField("when a coordinator called it dealt with", null=True)
    answer = models.TextField("what came of it", blank=True)
    voided_at = models.DateTimeField("when it was called a mistaken entry", null=True)

    class Meta(Record.Meta):
        indexes = [
            *Record.Meta.indexes,
            models.Index(fields=["group", "work_day"], name="incidents_of_a_work_day"),
            models.Index(
                fields=["group", "happened_at"], condition=Q(answered_at=None, voided_at=None), name="incidents_open"
            ),
        ]
        constraints = [
            models.CheckConstraint(
                name="an_answered_incident_says_what_came_of_it",
                condition=Q(answered_at=None, answer="") | Q(answered_at__isnull=False) & ~Q(answer=""),
            ),
            models.CheckConstraint(
                name="an_incident_is_answered_after_it_happened", condition=Q(answered_at__gte=F("happened_at"))
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_what_display()} at {self.happened_at}"

    def is_open(self) -> bool:
        """Tell whether somebody still has to deal with it."""
        return not (self.answered_at or self.voided_at)


class IncidentDetails(Record):
    """Who was hurt and how: for the coordinators alone."""

    kind = "incident_details"

    incident = models.ForeignKey(Incident, models.PROTECT, related_name="+", db_index=False)
    who = models.TextField("who was hurt or exposed")
    health = models.TextField("what happened to them, and what was done for them", blank=True)

    class Meta(Record.Meta):
        indexes = [*Record.Meta.indexes, models.Index(fields=["group", "incident"], name="details_of_an_incident")]

    def __str__(self) -> str:
        return f"details of {self.incident_id}"

    def audience(self) -> str:
        """Return the coordinators: nobody else reads who was hurt, whoever wrote it."""
        return COORDINATORS

    @classmethod
    def visible_to(cls, actor: Any) -> Q:
        """Return the condition on the rows that this actor may read."""
        return Q() if actor.audiences() is None else Q(pk__in=[])
