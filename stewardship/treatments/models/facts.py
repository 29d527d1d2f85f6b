"""What every fact of the work has: a date, marks, and that it is voided, never deleted."""

from django.db import models

from stewardship.journal.models import Record
from stewardship.workdays.models import WorkDay


class HowKnown(models.TextChoices):
    """How an amount is known; reports count each kind."""

    MEASURED = "measured"
    READ_OFF = "read_off_container"
    ESTIMATED = "estimated"
    APPORTIONED = "apportioned"


class Fact(Record):
    """Something that was done. It is recorded and marked, never refused for a lapse; voided, never deleted."""

    work_day = models.ForeignKey(WorkDay, models.PROTECT, null=True, related_name="+", db_index=False)
    on_date = models.DateField("local date of the place")
    note = models.TextField(blank=True)
    marks = models.JSONField("what was flagged when it was recorded", default=list)
    voided_at = models.DateTimeField(null=True)

    class Meta(Record.Meta):
        abstract = True
