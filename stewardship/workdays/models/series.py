"""Work days that come back: a rule, and what each of them looks like."""

from django.db import models
from django.db.models import F, Q

from stewardship.journal.models import Record
from stewardship.places.models import Property


class WorkDaySeries(Record):
    """A rule of RFC 5545 by the clock of the property, and the plan of each day that it makes."""

    kind = "work_day_series"
    leads = 2

    property = models.ForeignKey(Property, models.PROTECT, related_name="series", db_index=False)
    title = models.CharField(max_length=200)
    rule = models.CharField("as RFC 5545 writes it: FREQ=MONTHLY;BYDAY=2SA", max_length=500)
    first_on = models.DateField("local date of the first day")
    starts = models.CharField("when each day begins, by the clock of the property: 09:00", max_length=5)
    minutes = models.PositiveIntegerField("how long each day lasts")
    without = models.JSONField("local dates that are left out", default=list)
    plan = models.JSONField("what each day looks like", default=dict)
    duties = models.JSONField("the duties of each day: [{name, other_name, wanted, minimum_age}]", default=list)
    opens = models.BooleanField("whether its days are open for sign-up at once", default=False)
    ends_on = models.DateField("last local date; none: as the rule says", null=True)
    ends_reason = models.TextField("why it was ended", blank=True)
    extended_at = models.DateTimeField("when days were made last", null=True)

    class Meta(Record.Meta):
        indexes = [
            *Record.Meta.indexes,
            models.Index(fields=["group", "property"], name="series_of_a_property"),
        ]
        constraints = [
            models.CheckConstraint(name="a_day_of_a_series_lasts", condition=Q(minutes__gt=0)),
            models.CheckConstraint(
                name="a_series_that_was_ended_says_why", condition=Q(ends_on=None) | ~Q(ends_reason="")
            ),
            models.CheckConstraint(
                name="a_series_is_not_extended_before_it_was_entered",
                condition=Q(extended_at=None) | Q(extended_at__gte=F("entered_at")),
            ),
        ]

    def __str__(self) -> str:
        return self.title
