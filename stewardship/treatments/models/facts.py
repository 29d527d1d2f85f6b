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


class Voidable(Record):
    """What is voided where it was a mistake, and never deleted."""

    note = models.TextField(blank=True)
    voided_at = models.DateTimeField(null=True)

    class Meta(Record.Meta):
        abstract = True


class Fact(Voidable):
    """Something that was done. It is recorded and marked, never refused for a lapse; voided, never deleted."""

    work_day = models.ForeignKey(WorkDay, models.PROTECT, null=True, related_name="+", db_index=False)
    on_date = models.DateField("local date of the place")
    marks = models.JSONField("what was flagged when it was recorded", default=list)

    class Meta(Voidable.Meta):
        abstract = True
