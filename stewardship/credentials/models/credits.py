"""Credits that somebody earned towards the renewal of a licence."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from stewardship.accounts.models import Member
from stewardship.credentials.models.types import CredentialType
from stewardship.journal.models import Record


class Mode(models.TextChoices):
    """How credits were earned; an authority may cap some of them."""

    IN_PERSON = "in_person", "in person"
    ONLINE = "online", "online"
    SELF_STUDY = "self_study", "by self-study"
    OTHER = "other", "otherwise"


class Credit(Record):
    """The credits of one course, for one kind of credential, in one category; the person and coordinators see it."""

    kind = "credit"

    member = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", db_index=False)
    type = models.ForeignKey(CredentialType, models.PROTECT, related_name="+", db_index=False)
    category = models.CharField("code of the type's category; empty: core", max_length=40, blank=True)
    mode = models.CharField(max_length=20, choices=Mode)
    amount = models.CharField("decimal text", max_length=20)
    on_date = models.DateField()
    title = models.CharField(max_length=200)
    provider = models.CharField(max_length=200, blank=True)
    course_number = models.CharField(max_length=100, blank=True)
    evidence = models.JSONField("named files", default=list)
    note = models.TextField(blank=True)
    voided_at = models.DateTimeField("when it was called a mistaken entry", null=True)

    class Meta(Record.Meta):
        indexes = [*Record.Meta.indexes, models.Index(fields=["group", "member"], name="credits_of_a_member")]

    def __str__(self) -> str:
        return f"{self.amount} for {self.title}"

    def audience(self) -> str:
        """Return the person's id: it is theirs, coordinators see all."""
        return str(self.person_id)

    @classmethod
    def visible_to(cls, actor: Any) -> Q:
        """Return the condition on the credits that this actor may read: their own, a coordinator all."""
        return Q() if actor.audiences() is None else Q(person_id=actor.person_id)
