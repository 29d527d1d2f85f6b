"""Somebody is invited, a member's name or role changes, a membership is suspended, ends or begins again."""

from typing import Any, ClassVar

from django import forms

from stewardship.accounts.models import Invitation, Member, Role
from stewardship.sync.reading import Sent
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm

ROLES = [
    (Role.VOLUNTEER.value, "Volunteer: signs up, records what was done and used"),
    (Role.COORDINATOR.value, "Coordinator: plans, manages people and stock, answers for the records"),
    (Role.REVIEWER.value, "Reviewer: reads records and reports for the board, changes nothing"),
]


def address(
    label: str = "E-mail address",
    help_text: str = "The letter goes there, and the sign-in is under it.",
    *,
    required: bool = True,
) -> forms.EmailField:
    """Return a field for the address that somebody is invited at."""
    refused = {"invalid": "This is no e-mail address. It looks like name@example.org."}
    return forms.EmailField(label=label, required=required, max_length=254, help_text=help_text, error_messages=refused)


class InviteForm(ActForm):
    """A letter to somebody new."""

    display_name = base.text("Name", required=True, max_length=200, help_text="As rosters will show it.")
    email = address()
    role = base.choice("Role", ROLES)

    def sends(self) -> list[Sent]:
        """Return the invitation."""
        told = {name: self.cleaned_data[name] for name in ("display_name", "email", "role")}
        return [self.sent("invitation", "create", new=self.made(), **told)]


class AddForm(ActForm):
    """Somebody who works along without an e-mail address."""

    display_name = base.text("Name", required=True, max_length=200, help_text="As rosters will show it.")
    role = base.choice("Role", ROLES[:1] + ROLES[2:])

    def sends(self) -> list[Sent]:
        """Return the member."""
        told = {name: self.cleaned_data[name] for name in ("display_name", "role")}
        return [self.sent("member", "create", new=self.made(), **told)]


class OfInvitationForm(ActForm):
    """An act on an invitation that needs no more words."""

    op: ClassVar[str]

    def __init__(self, *args: Any, invitation: Invitation, **kwargs: Any) -> None:
        """Ask about ``invitation``."""
        self.invitation = invitation
        super().__init__(*args, **kwargs)

    def sends(self) -> list[Sent]:
        """Return the act."""
        return [self.sent("invitation", self.op, id=self.invitation.id)]


class ResendForm(OfInvitationForm):
    """A new letter."""

    op = "resend"


class WithdrawForm(OfInvitationForm):
    """The end of an invitation."""

    op = "withdraw"


class OfMemberForm(ActForm):
    """An act on a member."""

    op: ClassVar[str]
    lead: ClassVar[str]
    """What opens it, and what its button says."""

    def __init__(self, *args: Any, member: Member, **kwargs: Any) -> None:
        """Ask about ``member``."""
        self.member = member
        super().__init__(*args, **kwargs)

    def sends(self) -> list[Sent]:
        """Return the act, with the reason where one is asked for."""
        return [self.sent("member", self.op, id=self.member.id, reason=self.cleaned_data.get("reason", ""))]


class SignInForm(OfMemberForm):
    """A letter to a member who works along already: it gives them a sign-in."""

    lead = "Invite to sign in"

    email = address()

    def fill(self) -> None:
        """Offer the address that is known."""
        self.initial = {"email": self.member.person.email} | self.initial

    def sends(self) -> list[Sent]:
        """Return the invitation."""
        told = {"email": self.cleaned_data["email"], "role": self.member.role}
        told |= {"display_name": self.member.display_name, "member": self.member.id}
        return [self.sent("invitation", "create", new=self.made(), **told)]


class ChangeForm(OfMemberForm):
    """Another name, another role."""

    lead = "Change name or role"

    display_name = base.text("Name", required=True, max_length=200)
    role = base.choice("Role", ROLES)

    def fill(self) -> None:
        """Offer what is so now."""
        self.initial = {"display_name": self.member.display_name, "role": self.member.role} | self.initial

    def sends(self) -> list[Sent]:
        """Return the correction."""
        told = {name: self.cleaned_data[name] for name in ("display_name", "role")}
        return [self.sent("member", "amend", id=self.member.id, **told)]


class SuspendForm(OfMemberForm):
    """A suspension; it says why."""

    op, lead = "suspend", "Suspend"

    reason = base.text("Why", required=True, rows=2, max_length=1000, help_text="Coordinators alone read this.")


class EndForm(OfMemberForm):
    """The end of a membership."""

    op, lead = "end", "End the membership"

    reason = base.text("Why", rows=2, max_length=1000, help_text="Coordinators alone read this.")


class RestoreForm(OfMemberForm):
    """The end of a suspension."""

    op, lead = "restore", "Restore"


class ReinstateForm(OfMemberForm):
    """A former member comes back."""

    op, lead = "reinstate", "Take back into the group"


class EraseForm(OfMemberForm):
    """The end of everything personal that is kept of a former member."""

    op, lead = "erase", "Erase what is personal"

    reason = base.text(
        "Why", required=True, rows=2, max_length=1000,
        help_text="Such as: asked for by letter of 3 May. This reason stays, so name nobody in it.",
    )  # fmt: skip


class LeaveForm(OfMemberForm):
    """One's own leaving."""

    op, lead = "leave", "Leave the group"
