"""Members say how old they are, where they live and whom to call: for themselves, a coordinator for anybody."""

from datetime import date
from typing import Any
from uuid import UUID

from stewardship.accounts import fields
from stewardship.accounts.models import EmergencyContact, Member, PersonalDetails
from stewardship.errors import NotPermitted, RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import columns
from stewardship.rules.ages import NotBornYet, is_minor

AGE = ("born_on", "adult_from", "under_18")
"""Columns that tell an age."""


class DetailsKnown(RuleViolation):
    """A member has personal details once."""

    code = "details_known"
    message = "Personal details of this member are on record already. Change those."
    where = "member"


class AgeToldTwice(RuleViolation):
    """An age is told in one way."""

    code = "age_told_twice"
    message = "With a date of birth nothing else is asked about the age. Leave out one of the two."
    where = "born_on"


class AgeIsKept(RuleViolation):
    """Who is under 18 on record does not make themselves older: others rely on it."""

    code = "age_is_kept"
    message = "You are on record as under 18. If that is wrong, a coordinator corrects it: tell one."
    where = "born_on"


class ContactRemoved(RuleViolation):
    """Who was taken off is not changed."""

    code = "contact_removed"
    message = "This contact was taken off. Enter the person to call anew."


def add_details(entry: Entry, new: fields.NewPersonalDetails) -> PersonalDetails:
    """Enter a member's personal details."""
    member = whose(entry, new.member)
    if entry.list_of(PersonalDetails, "member_id", member.id):
        raise DetailsKnown
    values = columns(new)
    _check_age(values, entry.at.date())
    return entry.create(PersonalDetails, id=new.id, **values | _of(member))


def amend_details(entry: Entry, wish: fields.AmendPersonalDetails) -> PersonalDetails:
    """Correct a member's personal details; what was judged by them before keeps its marks."""
    found = entry.get(PersonalDetails, wish.id)
    check_own(entry, found.member_id)
    values = columns(wish)
    after = vars(found) | values
    _check_age(after, entry.at.date())
    is_minor_now = is_minor(found.known_age(), entry.at.date())
    if is_minor_now and not entry.by.may("manage_members") and any(after[name] != getattr(found, name) for name in AGE):
        raise AgeIsKept
    return entry.change(found, **values)


def add_contact(entry: Entry, new: fields.NewEmergencyContact) -> EmergencyContact:
    """Enter somebody to call."""
    member = whose(entry, new.member)
    return entry.create(EmergencyContact, id=new.id, **columns(new) | _of(member))


def amend_contact(entry: Entry, wish: fields.AmendEmergencyContact) -> EmergencyContact:
    """Correct somebody to call."""
    found = entry.get(EmergencyContact, wish.id)
    check_own(entry, found.member_id)
    if found.removed_at:
        raise ContactRemoved
    return entry.change(found, **columns(wish))


def remove_contact(entry: Entry, wish: fields.RemoveEmergencyContact) -> EmergencyContact:
    """Take somebody off the list. Again changes nothing."""
    found = entry.get(EmergencyContact, wish.id)
    check_own(entry, found.member_id)
    return found if found.removed_at else entry.change(found, removed_at=entry.at)


def whose(entry: Entry, member_id: UUID | None) -> Member:
    """Return the member who is meant, oneself if none is named. Raises NotPermitted, Unavailable."""
    id = member_id or entry.by.member_id
    check_own(entry, id)
    entry.load(Member, [id], lock=False)
    return entry.get(Member, id)


def check_own(entry: Entry, member_id: UUID) -> None:
    """Refuse who acts for somebody else without managing members. Raises NotPermitted."""
    if member_id != entry.by.member_id and not entry.by.may("manage_members"):
        raise NotPermitted("Only the person themselves, or a coordinator, can change this.")


def _of(member: Member) -> dict[str, UUID]:
    return {"member_id": member.id, "person_id": member.person_id}


def _check_age(values: dict[str, Any], today: date) -> None:
    """Refuse a date of birth to come, and an age that is told in two ways. Raises NotBornYet, AgeToldTwice."""
    born_on: date | None = values["born_on"]
    if born_on is None:
        return
    if born_on > today:
        raise NotBornYet(on=today)
    if values["adult_from"] or values["under_18"]:
        raise AgeToldTwice
