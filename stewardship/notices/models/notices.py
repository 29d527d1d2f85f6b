"""A notice: one thing that one member is told."""

from datetime import datetime
from typing import ClassVar

from django.db import models
from django.db.models import Q

from stewardship.accounts.models import Member
from stewardship.journal.ids import new_id
from stewardship.notices.models.letters import Letter


class Notice(models.Model):
    """Something a member is told, once for ever under its key. No record: it is not in the book."""

    keeps_first: ClassVar[bool] = True
    """Of rows that the database would refuse for their key, the one that is there stays."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    group = models.ForeignKey("accounts.Group", models.PROTECT, related_name="+", db_index=False)
    member = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    kind = models.CharField(max_length=40)
    key = models.CharField("what it is about; told once under it", max_length=200)
    subject = models.CharField(max_length=200)
    text = models.TextField()
    path = models.CharField("the page where one acts on it", max_length=200, blank=True)
    due_at = models.DateTimeField("from when on it is told")
    made_at = models.DateTimeField()
    handled_at = models.DateTimeField("when a letter took it, or it was left to the page", null=True)
    letter = models.ForeignKey(Letter, models.PROTECT, related_name="notices", null=True)
    read_at = models.DateTimeField("when it was seen on the page, or told by phone", null=True)
    told_by = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False, null=True)

    class Meta:
        indexes = [
            models.Index(fields=["group", "member", "-due_at"], name="notices_of_a_member"),
            models.Index(fields=["group", "due_at"], condition=Q(handled_at=None), name="notices_not_handled"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["group", "member", "key"], name="a_member_is_told_each_thing_once"),
            models.CheckConstraint(
                name="a_notice_in_a_letter_is_handled", condition=Q(letter=None) | Q(handled_at__isnull=False)
            ),
        ]

    def __str__(self) -> str:
        return self.subject

    @property
    def told_at(self) -> datetime:
        """Return since when it could be read: what was due before anybody looked was told when it was made."""
        return max(self.due_at, self.made_at)
