"""Somebody opens the link of an invitation and accepts it: as somebody new, or as the person they are here."""

from datetime import datetime

from allauth.account.models import EmailAddress
from django.db import IntegrityError

from stewardship.accounts import secrets
from stewardship.accounts.capabilities import Actor
from stewardship.accounts.models import Invitation, InvitationSecret, Member, Person
from stewardship.accounts.queries import person_of
from stewardship.accounts.services import invitations
from stewardship.errors import RuleViolation
from stewardship.journal.book import Cause, Entry, open_entry
from stewardship.journal.ids import new_id


class LinkEnded(RuleViolation):
    """Wrong, used, withdrawn, overtaken or late: one answer for all, so that a guess learns nothing."""

    code = "link_ended"
    message = "This link opens nothing, or no longer. Ask the coordinator who invited you for a new letter."


class SignInFirst(RuleViolation):
    """Who has a sign-in accepts with it, not with a link that might have been passed on."""

    code = "sign_in_first"
    message = "This address has a sign-in here already. Sign in with it, then accept."


class AnotherPerson(RuleViolation):
    """The letter is bound to an address."""

    code = "another_person"
    message = "This invitation is for another e-mail address than the one you are signed in with. Sign out first."


class AddressInUse(RuleViolation):
    """Who works along without an address cannot get one that is another person's sign-in."""

    code = "address_in_use"
    message = (
        "Your address has a sign-in of its own here, from another group, and the name on this group's roster cannot be "
        "joined to it. Tell the coordinator who invited you: they invite you anew, without naming that member."
    )


class NotAMemberNow(RuleViolation):
    """Who left or is suspended is taken back by a coordinator, not by a letter."""

    code = "not_a_member_now"
    message = "You belonged to this group before. Only a coordinator can take you back: ask the one who invited you."


def needs_password(invitation: Invitation) -> bool:
    """Return whether who accepts chooses a password: nobody signs in with this address yet."""
    person = person_of(invitation.email)
    return person is None or not person.has_usable_password()


def accept(secret: str, *, by: Person | None, password: str, at: datetime) -> tuple[Person, Member]:
    """Accept: return who accepted and the membership. ``by`` is who is signed in; ``password`` a new person's.

    Raises LinkEnded, SignInFirst, AnotherPerson, AddressInUse, NotAMemberNow.
    """
    try:
        return _accept(secret, by, password, at)
    except IntegrityError:  # somebody took the address or the membership at the same moment: look again
        return _accept(secret, by, password, at)


def _accept(secret: str, by: Person | None, password: str, at: datetime) -> tuple[Person, Member]:
    invitation = secrets.opened(secret, at=at)
    if invitation is None:
        raise LinkEnded
    person = _who(invitation, by)
    actor = Actor(person.id, invitation.group_id, new_id(), invitation.role)
    with open_entry(group_id=invitation.group_id, by=actor, at=at) as entry:
        entry.cause = Cause(new_id(), "accept")
        entry.load(Invitation, [invitation.id])
        found = entry.get(Invitation, invitation.id)
        kept = InvitationSecret.objects.get(invitation=found)
        if kept.secret_hash != secrets.hashed(secret) or not secrets.opens(kept, found, at=at):
            raise LinkEnded
        _let_in(person, found.email, "" if by else password)
        member = invitations.accept(entry, found, _membership(entry, found, person))
    return person, member


def _who(invitation: Invitation, by: Person | None) -> Person:
    """Return who accepts: who is signed in with the address, else somebody who has no password yet."""
    known = person_of(invitation.email)
    if by is not None:
        if known is None or known.id != by.id:
            raise AnotherPerson
        return by
    if known is not None and known.has_usable_password():
        raise SignInFirst
    member = invitation.member
    if member is not None and known is not None and known.id != member.person_id:
        raise AddressInUse
    return known or (member.person if member else Person(email=invitation.email))


def _membership(entry: Entry, invitation: Invitation, person: Person) -> Member | None:
    """Return the membership that is there already; None if it is still to be made."""
    members = entry.list_of(Member, "person_id", person.id)
    if invitation.member_id and [m.id for m in members] != [invitation.member_id]:
        raise AddressInUse
    if members and not members[0].is_present:
        raise NotAMemberNow
    return members[0] if members else None


def _let_in(person: Person, email: str, password: str) -> None:
    """Give the person the address, which the letter has verified, and a new person the password."""
    is_new = person._state.adding
    if password:
        person.set_password(password)
    if person.email is None or is_new or password:
        person.email = person.email or email
        person.save(force_insert=is_new)
    verify(person, email)


def know(email: str) -> None:
    """Let an address that a code goes to be proved by it: who was added by a coordinator has never proved theirs."""
    person = Person.objects.filter(email=email).first()
    if person is not None:
        values = {"verified": False, "primary": True}
        EmailAddress.objects.get_or_create(user=person, email=email, defaults=values)


def verify(person: Person, email: str) -> None:
    """Count an address of a person as verified."""
    values = {"verified": True, "primary": person.email == email}
    EmailAddress.objects.update_or_create(user=person, email=email, defaults=values)
