"""What is published about a day's work and bears on it: cited rows that a group goes by, or not."""

from django.db import models
from django.db.models import Q

from stewardship.catalog.models import Reference


class PracticeKind(models.TextChoices):
    """What a row is about."""

    MINIMUM_AGE = "minimum_age", "least age for a duty"
    TOPIC = "briefing_topic", "topic of a briefing"
    NUMBER = "emergency_number", "number to call"
    CLOCK = "incident_clock", "time to report an incident"


class Practice(Reference):
    """A published practice: the least age for a duty, a topic of a briefing, a number to call, a time to report in.

    ``subject``: the duty, the kind of incident (empty: any), or what a number is for. ``value``: an age in years, or a
    telephone number. ``clock``: the fields of ``rules.deadlines.Clock``. What the group does not go by bears on
    nothing, but a clock of the property's own jurisdiction always runs.
    """

    kind = "practice"

    what = models.CharField(max_length=20, choices=PracticeKind)
    subject = models.CharField(max_length=30, blank=True)
    title = models.CharField(max_length=200)
    wording = models.TextField("what the source says", blank=True)
    value = models.CharField(max_length=60, blank=True)
    clock = models.JSONField("how long there is; null: none", null=True)
    jurisdiction = models.CharField("ISO 3166 code; empty: none in particular", max_length=6, blank=True)
    with_herbicide = models.BooleanField("bears on days with herbicide only", default=False)
    is_followed = models.BooleanField("whether the group goes by it", default=True)
    place = models.PositiveSmallIntegerField("order in a list", default=1)

    class Meta(Reference.Meta):
        constraints = [
            models.CheckConstraint(name="a_practice_names_its_source", condition=~Q(source="")),
            models.CheckConstraint(
                name="an_incident_clock_has_a_clock",
                condition=Q(what="incident_clock", clock__isnull=False) | ~Q(what="incident_clock") & Q(clock=None),
            ),
        ]

    def __str__(self) -> str:
        return self.title
