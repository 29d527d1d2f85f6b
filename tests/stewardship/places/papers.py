"""What an inspector asks for first, entered as a group would enter it: invented people, places and numbers."""

from datetime import datetime
from typing import Any
from uuid import UUID

from tests.cast import AT, Someone, sent
from tests.planning import ON

PERMISSION = {
    "given_by": "Quarrel Farm",
    "relation": "owner",
    "given_on": "2027-01-10",
    "valid_from": "2027-01-10",
    "herbicide": True,
}
PERMIT = {"authority": "The county's office of waters", "number": "W-12", "what": "waters", "valid_from": "2027-01-01"}
NOTICE = {"name": "Odile Brandt", "address": "the yellow house by the ford", "first_on": ON, "last_on": ON}


def permission(coordinator: Someone, property: UUID, **values: Any) -> UUID:
    """Enter a landowner's permission."""
    return coordinator.does("land_permission", "create", property=property, **PERMISSION | values).record.id


def permit(coordinator: Someone, property: UUID | None, **values: Any) -> UUID:
    """Enter an authority's permit for work in waters."""
    return coordinator.does("permit", "create", property=property, **PERMIT | values).record.id


def notice(coordinator: Someone, property: UUID, **values: Any) -> UUID:
    """Enter a neighbour who is to be told of a day's work."""
    return coordinator.does("neighbour_notice", "create", property=property, **NOTICE | values).record.id


def tells(coordinator: Someone, id: UUID, moment: str, *, told: bool = True, entered_at: datetime = AT) -> Any:
    """Record an attempt to tell somebody."""
    said = {"at": moment, "how": "by telephone", "told": told}
    return coordinator.does_sent(sent("neighbour_notice", "attempt", said, id=id), entered_at).record
