"""Wide reads of credentials."""

from collections.abc import Iterable, Mapping
from datetime import date
from uuid import UUID

from stewardship.accounts.models import Member
from stewardship.credentials.models import Covers, Credential, CredentialType
from stewardship.credentials.needs import Need
from stewardship.credentials.standing import Standing, standing

Coverage = list[tuple[Member, list[Standing]]]
"""Each member with their standing for each thing that credentials are for."""


def credentials_of(group_id: UUID, member_ids: Iterable[UUID]) -> Mapping[UUID, list[Credential]]:
    """Return each member's credentials that were not voided, with one statement."""
    held: dict[UUID, list[Credential]] = {id: [] for id in member_ids}
    found = Credential.objects.filter(group_id=group_id, holder_id__in=list(held), voided_at=None)
    for credential in found.select_related("type").order_by("id"):
        held[credential.holder_id].append(credential)
    return held


def types_of(group_id: UUID) -> dict[UUID, CredentialType]:
    """Return the group's kinds of credentials by id, also those out of use, with one statement."""
    return {kind.id: kind for kind in CredentialType.objects.filter(group_id=group_id).order_by("id")}


def coverage(group_id: UUID, on: date) -> Coverage:
    """Return every present member's standing on a local date, by name; three statements."""
    members = list(Member.objects.present().filter(group_id=group_id).order_by("display_name", "id"))
    held = credentials_of(group_id, [member.id for member in members])
    types, needs = types_of(group_id), [Need(covers) for covers in Covers.values]
    return [(member, [standing(held[member.id], need, on, types) for need in needs]) for member in members]
