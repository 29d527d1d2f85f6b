"""An invitation into a group, and the secret by which it is opened."""

from datetime import datetime
from typing import Any

from django.db import models
from django.db.models import Q

from stewardship.accounts.models.groups import Member, Role
from stewardship.journal.models import COORDINATORS, Record


class InvitationState(models.TextChoices):
    """What became of an invitation. One that was sent and whose time ran out opens nothing any more."""

    SENT = "sent"
    ACCEPTED = "accepted"
    WITHDRAWN = "withdrawn"


class Invitation(Record):
    """A letter to one address that takes its reader into the group in one role, once, within a week."""

    kind = "invitation"

    email = models.EmailField("the address it is bound to, in lower case")
    role = models.CharField(max_length=20, choices=Role)
    display_name = models.CharField("the name that rosters will show", max_length=200)
    member = models.ForeignKey(
        Member, models.PROTECT, related_name="+", db_index=False, null=True,
        verbose_name="who works along already and now gets a sign-in",
    )  # fmt: skip
    state = models.CharField(max_length=10, choices=InvitationState, default=InvitationState.SENT)
    sent_at = models.DateTimeField("when the letter was last asked for")
    expires_at = models.DateTimeField("the moment from which on it opens nothing")
    ended_at = models.DateTimeField("when it was accepted or withdrawn", null=True)
    became = models.ForeignKey(
        Member, models.PROTECT, related_name="+", db_index=False, null=True,
        verbose_name="the membership of who accepted it",
    )  # fmt: skip

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(
                name="an_address_has_one_invitation_at_a_time", fields=["group", "email"], condition=Q(state="sent")
            ),
            models.CheckConstraint(
                name="an_invitation_that_ended_says_when",
                condition=Q(state="sent", ended_at=None) | (~Q(state="sent") & Q(ended_at__isnull=False)),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.display_name} <{self.email}>, {self.role}: {self.state}"

    def audience(self) -> str:
        """Return that coordinators alone read it."""
        return COORDINATORS

    @classmethod
    def visible_to(cls, actor: Any) -> Q:
        """Return the condition on the invitations that this actor may read: a coordinator's all, else none."""
        return Q() if actor.audiences() is None else Q(pk__in=[])

    def is_open(self, at: datetime) -> bool:
        """Return whether its link still opens."""
        return self.state == InvitationState.SENT and at < self.expires_at

    def standing(self, at: datetime) -> str:
        """Return its state at a moment: ``expired`` once its time ran out."""
        is_over = self.state == InvitationState.SENT and at >= self.expires_at
        return "expired" if is_over else str(self.state)


class InvitationSecret(models.Model):
    """The hash of the secret in the newest letter of an invitation. The secret itself is in the letter alone."""

    invitation = models.OneToOneField(Invitation, models.PROTECT, primary_key=True, related_name="secret")
    secret_hash = models.CharField("SHA-256 of the secret", max_length=64, unique=True)
    of_letter = models.DateTimeField("the asking that it was made for: a later letter ends it")

    def __str__(self) -> str:
        return f"secret of {self.invitation_id}"
