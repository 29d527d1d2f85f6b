"""Texts that an invented group asks people to agree to, and people who do."""

from typing import Any
from uuid import UUID

from tests.cast import Someone


def waiver(coordinator: Someone, **values: Any) -> UUID:
    """Enter a text: a waiver, unless told otherwise."""
    told = {"what": "waiver", "title": "Working along", "text": "I know the risks.", "from_on": "2027-01-01"}
    return coordinator.does("consent_text", "create", **told | values).record.id


def agrees(someone: Someone, text: UUID, **values: Any) -> UUID:
    """Let somebody agree to a text, signed in as themselves on the day of the tests' clock unless told otherwise."""
    told = {"text": text, "given_on": "2027-05-01", "how": "signed_in"}
    return someone.does("consent", "create", **told | values).record.id


def guardian_signs(coordinator: Someone, member: Someone, text: UUID, **values: Any) -> UUID:
    """Enter the sheet that a guardian signed for a member."""
    told = {"given_by": "Odile Fenn", "relation": "mother", "how": "signed_sheet", "sheet": "Binder 2, sheet 7"}
    return agrees(coordinator, text, member=member.member.id, **told | values)
