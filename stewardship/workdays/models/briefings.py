"""What people were told before they began, and who signed that they heard it."""

from django.db import models
from django.db.models import Q

from stewardship.accounts.models import Member
from stewardship.journal.models import Record
from stewardship.workdays.models.days import WorkDay


class Briefing(Record):
    """A briefing on a work day: who led it, when, and what was said."""

    kind = "briefing"

    work_day = models.ForeignKey(WorkDay, models.PROTECT, related_name="briefings", db_index=False)
    led_by = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    held_at = models.DateTimeField()
    topics = models.JSONField("ids of the topics that were spoken of", default=list)
    words = models.TextField("what else was said", blank=True)
    emergency_plan_read = models.BooleanField("the emergency sheet was read out", default=False)
    label_at_hand = models.BooleanField("label and safety data sheet were at hand; null: not told", null=True)
    voided_at = models.DateTimeField("when it was called a mistaken entry", null=True)

    class Meta(Record.Meta):
        indexes = [*Record.Meta.indexes, models.Index(fields=["group", "work_day"], name="briefings_of_a_work_day")]

    def __str__(self) -> str:
        return f"briefing of {self.held_at}"


class BriefingSignature(Record):
    """A member's word that they heard the briefing: signed in as themselves, or on a sheet that was entered."""

    kind = "briefing_signature"

    briefing = models.ForeignKey(Briefing, models.PROTECT, related_name="signatures", db_index=False)
    work_day = models.ForeignKey(WorkDay, models.PROTECT, related_name="+", db_index=False)
    member = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    signed_at = models.DateTimeField()
    sheet = models.CharField("which sheet was signed; empty: signed in as themselves", max_length=200, blank=True)
    voided_at = models.DateTimeField("when it was called a mistaken entry", null=True)

    class Meta(Record.Meta):
        indexes = [
            *Record.Meta.indexes,
            models.Index(fields=["group", "work_day"], name="signatures_of_a_work_day"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["group", "briefing", "member"], condition=Q(voided_at=None), name="a_briefing_is_signed_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.member_id} under {self.briefing_id}"
