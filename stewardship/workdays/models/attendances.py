"""Who came on a work day, and for how long."""

from django.db import models
from django.db.models import F, Q

from stewardship.accounts.models import Member
from stewardship.journal.models import Record
from stewardship.workdays.models.days import WorkDay


class AgeClass(models.TextChoices):
    """As whom somebody is counted: adult volunteer, volunteer under 18, paid staff."""

    ADULT = "adult", "adult"
    YOUTH = "youth", "youth"
    STAFF = "staff", "staff"


class HowKnown(models.TextChoices):
    """How a time is known."""

    MEASURED = "measured", "measured"
    ESTIMATED = "estimated", "estimated"


class Attendance(Record):
    """A member's time on a work day; without ``out_at`` the hours are unknown."""

    kind = "attendance"

    work_day = models.ForeignKey(WorkDay, models.PROTECT, related_name="attendances", db_index=False)
    member = models.ForeignKey(Member, models.PROTECT, related_name="attendances", db_index=False)
    age_class = models.CharField(max_length=20, choices=AgeClass)
    on_date = models.DateField("local date of in_at, by the work day's zone")
    in_at = models.DateTimeField()
    out_at = models.DateTimeField("none: not checked out, hours unknown", null=True)
    how_known = models.CharField("how out_at is known", max_length=20, choices=HowKnown, blank=True)
    settled_by = models.ForeignKey(
        Member, models.PROTECT, null=True, related_name="+", db_index=False, verbose_name="who estimated out_at"
    )
    settled_words = models.TextField("what the estimate rests on", blank=True)
    admitted_by = models.ForeignKey(
        Member, models.PROTECT, null=True, related_name="+", db_index=False, verbose_name="who let them work unsigned"
    )
    admitted_words = models.TextField("why they were let work without a signed waiver", blank=True)
    marks = models.JSONField("what was flagged", default=list)
    voided_at = models.DateTimeField("when it was called a mistaken entry", null=True)

    class Meta(Record.Meta):
        indexes = [
            *Record.Meta.indexes,
            models.Index(fields=["group", "work_day"], name="attendances_of_a_work_day"),
            models.Index(fields=["group", "member"], name="attendances_of_a_member"),
        ]
        constraints = [
            models.CheckConstraint(name="a_check_out_follows_its_check_in", condition=Q(out_at__gte=F("in_at"))),
            models.CheckConstraint(
                name="a_check_out_says_how_it_is_known",
                condition=Q(out_at=None, how_known="") | Q(out_at__isnull=False) & ~Q(how_known=""),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.member_id} on {self.on_date}"
