"""A coordinator invites somebody by letter, sends the letter again, or takes the invitation back."""

from datetime import datetime, timedelta
from uuid import UUID

from stewardship.accounts.fields.invitations import NewInvitation, ResendInvitation, WithdrawInvitation
from stewardship.accounts.models import Invitation, InvitationState, Member, Person
from stewardship.accounts.queries import person_of
from stewardship.accounts.services.groups import AlreadyMember
from stewardship.errors import RuleViolation
from stewardship.jobs import services as jobs
from stewardship.journal.book import Entry

KIND = "invitation"
"""The kind of the job that writes the letter."""

LASTS = timedelta(days=7)
"""How long the link in a letter opens."""


class AlreadyInvited(RuleViolation):
    """An address has one open invitation at a time."""

    code = "already_invited"
    message = "This address was invited already. Send that invitation again, or withdraw it first."
    where = "email"


class InvitationEnded(RuleViolation):
    """What was accepted or withdrawn is over."""

    code = "invitation_ended"
    message = "This invitation is over: it was accepted or withdrawn. Look at the person's membership, or invite anew."


class AnotherAddress(RuleViolation):
    """A member who has an address gets a sign-in under it and no other."""

    code = "another_address"
    message = "This member is known under another e-mail address. Invite that one; its owner can change it later."
    where = "email"


class InvitedAsTheyAre(RuleViolation):
    """A sign-in changes neither name nor role."""

    code = "invited_as_they_are"
    message = "An invitation gives a member a sign-in and changes nothing else. Change name or role at the member."
    where = "role"


class MemberLeft(RuleViolation):
    """Who left, or is suspended, is not invited to sign in."""

    code = "member_left"
    message = "This member left or is suspended. Take them back first, then send the invitation."
    where = "member"


def invite(entry: Entry, new: NewInvitation) -> Invitation:
    """Invite somebody: a letter goes to the address, and its link opens for a week."""
    email = new.email.lower()
    member = entry.get(Member, new.member) if new.member else None
    if member:
        _check_member(entry, member, new)
    else:
        _check_newcomer(entry, email)
    if any(each.state == InvitationState.SENT for each in _invitations(entry, email)):
        raise AlreadyInvited
    invitation = entry.create(
        Invitation, id=new.id, email=email, role=new.role, display_name=new.display_name,
        member_id=member.id if member else None, sent_at=entry.at, expires_at=entry.at + LASTS,
    )  # fmt: skip
    _post(entry, invitation)
    return invitation


def withdraw(entry: Entry, wish: WithdrawInvitation) -> Invitation:
    """Take an invitation back: its link ends. Withdrawing it again changes nothing."""
    invitation = entry.get(Invitation, wish.id)
    if invitation.state == InvitationState.ACCEPTED:
        raise InvitationEnded
    if invitation.state == InvitationState.WITHDRAWN:
        return invitation
    return entry.change(invitation, state=InvitationState.WITHDRAWN, ended_at=entry.at)


def resend(entry: Entry, wish: ResendInvitation) -> Invitation:
    """Send a new letter, even after the week; the link in the former one ends."""
    invitation = entry.get(Invitation, wish.id)
    if invitation.state != InvitationState.SENT:
        raise InvitationEnded
    entry.change(invitation, sent_at=entry.at, expires_at=entry.at + LASTS)
    _post(entry, invitation)
    return invitation


def accept(entry: Entry, invitation: Invitation, member: Member | None) -> Member:
    """Take who opened the letter into the group, or give the member that it names a sign-in."""
    if member is None:
        member = entry.create(
            Member, id=entry.by.member_id, person_id=entry.by.person_id, display_name=invitation.display_name,
            role=invitation.role,
        )  # fmt: skip
    entry.change(invitation, state=InvitationState.ACCEPTED, ended_at=entry.at, became_id=member.id)
    return member


def _check_member(entry: Entry, member: Member, new: NewInvitation) -> None:
    if not member.is_present:
        raise MemberLeft
    known = _address_of(entry, member)
    if known and known != new.email.lower():
        raise AnotherAddress
    if (member.role, member.display_name) != (new.role, new.display_name):
        raise InvitedAsTheyAre
    _check_newcomer(entry, new.email.lower(), besides=member.id)


def _address_of(entry: Entry, member: Member) -> str | None:
    """Return a member's address, of one that is only coming in this entry as well."""
    coming = [person.email for person in entry.added(Person) if person.id == member.person_id]
    return coming[0] if coming else Person.objects.values_list("email", flat=True).get(id=member.person_id)


def _check_newcomer(entry: Entry, email: str, besides: UUID | None = None) -> None:
    """Refuse an address under which somebody else belongs to the group, or once did."""
    person = person_of(email)
    if person and any(each.id != besides for each in entry.list_of(Member, "person_id", person.id)):
        raise AlreadyMember


def _invitations(entry: Entry, email: str) -> list[Invitation]:
    entry.load_lists(Invitation, "email", [email])  # type: ignore[list-item]
    return entry.list_of(Invitation, "email", email)  # type: ignore[arg-type]


def _post(entry: Entry, invitation: Invitation) -> None:
    jobs.ask(
        entry, KIND, letter_args(invitation.id, invitation.sent_at), key=letter_key(invitation),
        asked_by=entry.by.person_id,
    )  # fmt: skip


def letter_key(invitation: Invitation) -> str:
    """Return the key of the jobs that write an invitation's newest letter."""
    return f"{invitation.id}@{invitation.sent_at}"


def letter_args(invitation_id: UUID, sent_at: datetime) -> dict[str, str]:
    """Return what a letter's job says: the invitation, and which of its letters."""
    return {"invitation": str(invitation_id), "sent_at": sent_at.isoformat()}
