"""Work day, the duties on it, who signed up for them, and who came."""

from zoneinfo import ZoneInfo

from django.db import models
from django.db.models import F, Q

from stewardship.accounts.models import Member
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


class DutyName(models.TextChoices):
    """The jobs on a work day."""

    LEADER = "leader", "leader"
    TEAM_LEADER = "team_leader", "team leader"
    APPLICATOR = "applicator", "applicator"
    SAWYER = "sawyer", "sawyer"
    SWAMPER = "swamper", "swamper"
    CUTTER = "cutter", "cutter"
    PULLER = "puller", "puller"
    HAULER = "hauler", "hauler"
    BURN_BOSS = "burn_boss", "burn boss"
    OTHER = "other", "other"


class Duty(Record):
    """A job on a work day and how many people are wanted for it."""

    kind = "duty"

    work_day = models.ForeignKey(WorkDay, models.PROTECT, related_name="duties", db_index=False)
    name = models.CharField(max_length=20, choices=DutyName)
    other_name = models.CharField("what it is, where the name is other", max_length=100, blank=True)
    wanted = models.PositiveIntegerField("how many people")
    minimum_age = models.PositiveSmallIntegerField("in years, on the day", null=True)

    class Meta(Record.Meta):
        indexes = [*Record.Meta.indexes, models.Index(fields=["group", "work_day"], name="duties_of_a_work_day")]
        constraints = [
            models.CheckConstraint(
                name="only_an_other_duty_is_named_in_words",
                condition=Q(name="other") & ~Q(other_name="") | ~Q(name="other") & Q(other_name=""),
            ),
        ]

    def __str__(self) -> str:
        return self.other_name or self.get_name_display()


class SignUp(Record):
    """A member's word to do a duty, until it is withdrawn."""

    kind = "sign_up"

    work_day = models.ForeignKey(WorkDay, models.PROTECT, related_name="sign_ups", db_index=False)
    duty = models.ForeignKey(Duty, models.PROTECT, related_name="sign_ups", db_index=False)
    member = models.ForeignKey(Member, models.PROTECT, related_name="sign_ups", db_index=False)
    withdrawn_at = models.DateTimeField(null=True)

    class Meta(Record.Meta):
        indexes = [
            *Record.Meta.indexes,
            models.Index(fields=["group", "work_day"], name="sign_ups_of_a_work_day"),
            models.Index(fields=["group", "member"], name="sign_ups_of_a_member"),
        ]

    def __str__(self) -> str:
        return f"{self.member_id} for {self.duty_id}"


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
