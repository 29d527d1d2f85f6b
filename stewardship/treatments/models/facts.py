"""What every fact of the work has: a date, marks, and that it is voided, never deleted."""

from django.db import models

from stewardship.accounts.models import Member
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


class Answerable(Fact):
    """A fact that rests on credentials, and what a coordinator answered where one did not count.

    ``credentials``: for each ``member``, ``role``, ``covers``, ``type``, ``authority``, ``number``, ``status``,
    ``ends_on``, ``categories``, as it stood on the local date. ``answered_for``: the codes of the marks that were
    answered; an answer takes no mark away.
    """

    credentials = models.JSONField("what it rested on, as it stood on the date", default=list)
    answer = models.TextField("why it was done without a credential that counted", blank=True)
    answer_document = models.CharField("the letter that says so", max_length=200, blank=True)
    answered_for = models.JSONField("codes of the marks that were answered", default=list)
    answered_at = models.DateTimeField(null=True)
    answered_by = models.ForeignKey(Member, models.PROTECT, null=True, related_name="+", db_index=False)

    class Meta(Fact.Meta):
        abstract = True
