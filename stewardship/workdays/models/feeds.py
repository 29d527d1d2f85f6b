"""The private address at which a person's calendar reads the work days of a group."""

from django.db import models

from stewardship.accounts.models import Group, Member
from stewardship.journal.ids import new_id


class Scope(models.TextChoices):
    """Which work days a calendar reads."""

    OWN = "own", "the days that I signed up for"
    GROUP = "group", "all work days of the group"


class CalendarFeed(models.Model):
    """One address of one member: whoever has it reads the calendar, so only its hash is kept. No record."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    group = models.ForeignKey(Group, models.PROTECT, related_name="+", db_index=False)
    member = models.ForeignKey(Member, models.PROTECT, related_name="calendar_feeds")
    scope = models.CharField(max_length=10, choices=Scope)
    secret_hash = models.CharField("SHA-256 of the token", max_length=64, unique=True)
    made_at = models.DateTimeField("when its present token was made")
    fetched_at = models.DateTimeField("when it was last fetched, at most once an hour", null=True)
    ended_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"{self.get_scope_display()} of {self.member_id}"
