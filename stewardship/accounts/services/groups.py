"""A group is founded; members come, change and leave."""

from datetime import datetime
from uuid import UUID

from msgspec import UNSET

from stewardship.accounts import fields
from stewardship.accounts.capabilities import Actor
from stewardship.accounts.models import Group, Member, Person
from stewardship.accounts.queries import person_of
from stewardship.errors import NotPermitted, RuleViolation
from stewardship.journal.book import Cause, Entry, open_entry
from stewardship.journal.fields import Target, columns
from stewardship.journal.ids import new_id
from stewardship.journal.models import Book


class LastCoordinator(RuleViolation):
    """A group always has a coordinator."""

    code = "last_coordinator"
    message = "This is the group's only coordinator. Make somebody else a coordinator first."


class NoCoordinator(RuleViolation):
    """What nobody has acted on comes to a coordinator."""

    code = "no_coordinator"
    message = "{name} is no coordinator of the group now. Choose one who is, or leave it open."
    where = "second_coordinator"


class NotYourOwn(NotPermitted):
    """Leaving is everybody's own act."""

    message = "Only they themselves can leave. A coordinator can end their membership."


class CoordinatorNeedsAddress(RuleViolation):
    """Who answers for a group can sign in: without an address nobody does."""

    code = "coordinator_needs_address"
    message = "A coordinator signs in. Give {name} a sign-in by e-mail first, then make them a coordinator."
    where = "role"


class MemberErased(RuleViolation):
    """Of who was erased nothing is written again."""

    code = "member_erased"
    message = "What is personal of this member was erased for good. If they come back, take them in as somebody new."


class AlreadyMember(RuleViolation):
    """A person is a member of a group once."""

    code = "already_member"
    message = "Somebody with this e-mail address is already a member of the group. Change that membership instead."
    where = "email"


def found_group(
    *, founder: Person, display_name: str, name: str, time_zone: str, at: datetime, group_id: UUID | None = None
) -> Group:
    """Found a group with its book and its first coordinator."""
    group_id = group_id or new_id()
    actor = Actor(founder.id, group_id, new_id(), "coordinator")
    with open_entry(group_id=group_id, by=actor, at=at) as entry:
        entry.cause = Cause(new_id(), "found_group")
        entry.add(Book(group_id=group_id, epoch=new_id()))
        group = entry.create(Group, id=group_id, name=name, time_zone=time_zone)
        entry.create(Member, id=actor.member_id, person_id=founder.id, display_name=display_name, role=actor.role)
    return group


def amend_group(entry: Entry, wish: fields.AmendGroup) -> Group:
    """Change the group's name, zone, the units it shows, or when and whom it reminds."""
    values = columns(wish)
    if second := values.get("second_coordinator_id"):
        _check_coordinates(entry.get(Member, second))
    if "lead_days" in values:
        values["lead_days"] = sorted(set(values["lead_days"]), reverse=True)
    return entry.change(entry.get(Group, wish.id), **values)


def _check_coordinates(member: Member) -> None:
    if not member.is_present or member.role != "coordinator":
        raise NoCoordinator(name=member.display_name)


def add_member(entry: Entry, new: fields.NewMember) -> Member:
    """Take a person into the group; the same e-mail address is the same person in every group."""
    if new.role == "coordinator" and not new.email:
        raise CoordinatorNeedsAddress(name=new.display_name)
    person = _person(entry, new.email)
    if entry.list_of(Member, "person_id", person.id):
        raise AlreadyMember
    return entry.create(Member, id=new.id, person_id=person.id, display_name=new.display_name, role=new.role)


def amend_member(entry: Entry, wish: fields.AmendMember) -> Member:
    """Change a member's name or role; the last coordinator stays one."""
    member = _not_erased(entry, wish.id)
    if wish.role not in (UNSET, "coordinator"):
        _keep_a_coordinator(entry, member)
    if wish.role == "coordinator" and not _has_address(entry, member):
        raise CoordinatorNeedsAddress(name=member.display_name)
    return entry.change(member, **columns(wish))


def end_member(entry: Entry, wish: fields.EndMember) -> Member:
    """End a membership. Ending it again changes nothing."""
    return _ended(entry, entry.get(Member, wish.id))


def leave(entry: Entry, wish: fields.LeaveGroup) -> Member:
    """Leave the group oneself. Leaving again changes nothing. Raises NotYourOwn."""
    member = entry.get(Member, wish.id)
    if member.person_id != entry.by.person_id:
        raise NotYourOwn
    return _ended(entry, member)


def suspend(entry: Entry, wish: fields.SuspendMember) -> Member:
    """Keep a member from acting and reading, until they are restored. Suspending again changes nothing."""
    member = entry.get(Member, wish.id)
    if member.suspended_at:
        return member
    _keep_a_coordinator(entry, member)
    return entry.change(member, suspended_at=entry.at)


def restore(entry: Entry, wish: fields.RestoreMember) -> Member:
    """Let a suspended member act and read again."""
    return entry.change(entry.get(Member, wish.id), suspended_at=None)


def reinstate_member(entry: Entry, wish: Target) -> Member:
    """Take a former member back, in the role they had."""
    return entry.change(_not_erased(entry, wish.id), ended_at=None)


def _not_erased(entry: Entry, id: UUID) -> Member:
    member = entry.get(Member, id)
    if member.erased_at:
        raise MemberErased
    return member


def _ended(entry: Entry, member: Member) -> Member:
    if member.ended_at:
        return member
    _keep_a_coordinator(entry, member)
    return entry.change(member, ended_at=entry.at)


def _person(entry: Entry, email: str | None) -> Person:
    email = email.lower() if email else None
    person = _known_person(entry, email) if email else None
    if person is None:
        person = Person(email=email)
        person.set_unusable_password()
        entry.add(person)
    return person


def _known_person(entry: Entry, email: str) -> Person | None:
    coming = [person for person in entry.added(Person) if person.email == email]
    return coming[0] if coming else person_of(email)


def _has_address(entry: Entry, member: Member) -> bool:
    coming = [person for person in entry.added(Person) if person.id == member.person_id]
    known = coming or Person.objects.filter(id=member.person_id)
    return any(person.email for person in known)


def _keep_a_coordinator(entry: Entry, member: Member) -> None:
    """Refuse if nobody else is a coordinator who can act; the lock on the group keeps two from going at once."""
    entry.load(Group, [entry.group_id])
    stored = Member.objects.present().filter(group_id=entry.group_id, role="coordinator")
    coordinators = set(stored.values_list("id", flat=True))
    for each in entry.known(Member).values():
        if entry.is_locked(each):  # what this entry itself changed; any other may be older than the group's lock
            (coordinators.add if each.role == "coordinator" and each.is_present else coordinators.discard)(each.id)
    if coordinators == {member.id}:
        raise LastCoordinator
