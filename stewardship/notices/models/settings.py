"""How one member wishes to be told."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from stewardship.accounts.models import Member
from stewardship.journal.models import Record


class Digest(models.TextChoices):
    """When mails come: everything of a day in one, or each thing as it happens."""

    DAILY = "daily", "once a day, everything in one mail"
    AT_ONCE = "at_once", "as things happen"


class NotificationSettings(Record):
    """What comes to a member by mail and when; without it everything does, once a day at seven."""

    kind = "notification_settings"

    member = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", db_index=False)
    page_only = models.JSONField("kinds of notices that stay on the page and do not come by mail", default=list)
    digest = models.CharField(max_length=10, choices=Digest, default=Digest.DAILY)
    digest_hour = models.PositiveSmallIntegerField("hour of the group's clock of the daily mail", default=7)
    lead_days = models.JSONField("days before the end when they are reminded; null: as the group does", null=True)

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["group", "member"], name="a_member_says_once_how_to_be_told"),
            models.CheckConstraint(name="a_digest_comes_at_an_hour_of_the_day", condition=Q(digest_hour__lte=23)),
        ]

    def __str__(self) -> str:
        return f"{self.member_id}: {self.digest} at {self.digest_hour}"

    def audience(self) -> str:
        """Return the person's id: how somebody is told is their own, coordinators see all."""
        return str(self.person_id)

    @classmethod
    def visible_to(cls, actor: Any) -> Q:
        """Return the condition on the settings that this actor may read: their own, a coordinator all."""
        return Q() if actor.audiences() is None else Q(person_id=actor.person_id)
