"""What a member's credentials are worth, judged inside an entry."""

from collections.abc import Iterable
from datetime import date
from typing import Any
from uuid import UUID

from stewardship.credentials.models import Credential, CredentialType
from stewardship.credentials.needs import Need
from stewardship.credentials.standing import Standing, Types, standing
from stewardship.journal.book import Entry


def standing_of(entry: Entry, member_id: UUID, need: Need, on: date) -> Standing:
    """Return a member's standing for a piece of work on a local date."""
    held = entry.list_of(Credential, "holder_id", member_id)
    return standing(held, need, on, types_in(entry) if any(each.type_id for each in held) else {})


def types_in(entry: Entry) -> dict[UUID, CredentialType]:
    """Return the group's kinds of credentials, read once for everything in the entry."""
    return {kind.id: kind for kind in entry.all_of(CredentialType)}


def as_it_stood(
    held: Iterable[Credential], member_id: UUID, role: str, need: Need, on: date, types: Types
) -> list[dict[str, Any]]:
    """Return what a record keeps of a person's credentials for its work on a date.

    Those that were valid, else the best. A person may hold one for one method and one for another; where there was none
    at all, a line says so.
    """
    living = [each for each in held if each.covers == need.covers and not each.voided_at]
    found = [standing([each], need, on, types) for each in living]
    valid = [each for each in found if each.status == "valid"]
    return [_line(each, member_id, role, types) for each in valid or [standing(living, need, on, types)]]


def _line(found: Standing, member_id: UUID, role: str, types: Types) -> dict[str, Any]:
    held = found.credential
    kind = types[held.type_id] if held and held.type_id else None
    return {
        "member": str(member_id),
        "role": role,
        "covers": found.covers,
        "status": found.status,
        "type": kind.name if kind else "",
        "authority": held.authority if held else "",
        "number": held.number if held else "",
        "ends_on": held.expires_on.isoformat() if held and held.expires_on else None,
        "categories": held.categories if held else [],
    }
