"""The duties on a work day, and who signed up for them."""

from django.db import models
from django.db.models import Q

from stewardship.accounts.models import Member
from stewardship.journal.models import Record
from stewardship.workdays.models.days import WorkDay


class DutyName(models.TextChoices):
    """The jobs on a work day."""

    LEADER = "leader", "leader"
    TEAM_LEADER = "team_leader", "team leader"
    APPLICATOR = "applicator", "applicator"
    HELPER = "helper", "helper with herbicide"
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
    needs = models.JSONField("ids of kinds of credentials that its people hold besides", default=list)
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
    """A member's word to do a duty, until it is withdrawn; while it waits, there is no place for it."""

    kind = "sign_up"

    work_day = models.ForeignKey(WorkDay, models.PROTECT, related_name="sign_ups", db_index=False)
    duty = models.ForeignKey(Duty, models.PROTECT, related_name="sign_ups", db_index=False)
    member = models.ForeignKey(Member, models.PROTECT, related_name="sign_ups", db_index=False)
    number = models.PositiveIntegerField("the how manieth sign-up for this day it is: the order of the waiting list")
    is_waiting = models.BooleanField("on the waiting list: it takes no place", default=False)
    moved_up_at = models.DateTimeField("when it got a place after waiting for one", null=True)
    passed_over = models.JSONField("why a free place went to somebody later: [{at, code}]", default=list)
    withdrawn_at = models.DateTimeField(null=True)

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["work_day", "number"], name="sign_ups_of_a_day_stand_in_one_order")
        ]
        indexes = [
            *Record.Meta.indexes,
            models.Index(fields=["group", "work_day"], name="sign_ups_of_a_work_day"),
            models.Index(fields=["group", "member"], name="sign_ups_of_a_member"),
        ]

    def __str__(self) -> str:
        return f"{self.member_id} for {self.duty_id}"
