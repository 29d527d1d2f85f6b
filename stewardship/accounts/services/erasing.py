"""What is personal of somebody who left is erased: the book keeps its numbers and hashes, and no longer says it."""

from collections.abc import Iterable, Iterator
from typing import Any

from stewardship.accounts.models import (
    Consent,
    EmergencyContact,
    Invitation,
    InvitationState,
    Member,
    PersonalDetails,
)
from stewardship.errors import RuleViolation
from stewardship.jobs import services as jobs
from stewardship.journal.book import Entry
from stewardship.journal.models import Erasure, Record

KIND = "forget_erased"
"""The kind of the job that clears what stands outside the book: sign-in, devices, letters, files."""

ERASED = "(erased)"
"""Stands where a name stood."""

NO_DETAILS = {"born_on": None, "adult_from": None, "under_18": False, "address": "", "phone": ""}

Blank = tuple[Record, dict[str, Any]]
"""A record, and the values by which it tells nothing personal any more."""


class StillAMember(RuleViolation):
    """Erasing cannot be undone: it comes after the end."""

    code = "still_a_member"
    message = "{name} still belongs to the group. End the membership first; then what is personal can be erased."


def erase_member(entry: Entry, member: Member, *, keeps_name: bool, others: Iterable[Blank] = ()) -> Member:
    """Erase what is personal of a former member, ``others`` beside it. Again: only what was written since.

    All former states of these records are emptied, and one erasure names them. Raises StillAMember.
    """
    if not member.ended_at:
        raise StillAMember(name=member.display_name)
    own: Blank = (member, {"display_name": member.display_name if keeps_name else ERASED})
    told = [each for each in (*_of(entry, member), *others, own) if not member.erased_at or _tells(*each)]
    if not told:
        return member
    own[1]["erased_at"] = entry.at
    told = [each for each in told if each is not own] + [own]
    emptied = [entry.empty(record, **values) for record, values in told]
    named = [{"type": each.kind, "id": str(each.id), "through_rev": each.rev - 1} for each in emptied if each.rev > 1]
    entry.create(Erasure, id=None, emptied=named)
    jobs.ask(entry, KIND, {}, key=entry.at.isoformat(), asked_by=entry.by.person_id)
    return member


def _tells(record: Record, values: dict[str, Any]) -> bool:
    return any(getattr(record, name) != value for name, value in values.items())


def _of(entry: Entry, member: Member) -> Iterator[Blank]:
    for details in entry.list_of(PersonalDetails, "member_id", member.id):
        yield details, NO_DETAILS
    for contact in entry.list_of(EmergencyContact, "member_id", member.id):
        values = {"name": ERASED, "phone": "", "relation": ""}
        yield contact, values | {"removed_at": contact.removed_at or entry.at}
    for consent in entry.list_of(Consent, "member_id", member.id):
        yield consent, {"given_by": "", "relation": "", "sheet": ERASED if consent.sheet else ""}
    for column in ("member_id", "became_id"):
        for invitation in entry.list_of(Invitation, column, member.id):
            if column == "member_id" or invitation.member_id != member.id:
                yield invitation, _of_invitation(entry, invitation)


def _of_invitation(entry: Entry, invitation: Invitation) -> dict[str, Any]:
    values: dict[str, Any] = {"email": "", "display_name": ERASED}
    if invitation.state == InvitationState.SENT:
        values |= {"state": InvitationState.WITHDRAWN, "ended_at": entry.at}
    return values
