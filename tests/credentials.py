"""Kinds of credentials, and credentials of such a kind, for every test that needs one."""

from typing import Any
from uuid import UUID

from tests.cast import Someone

KIND = {
    "name": "Licence of the county",
    "covers": "herbicide_application",
    "authority": "County Board of Weeds",
    "validity": {"kind": "rolling", "years": 2},
    "source": "An invented ordinance",
}
DATES = {"issued_on": "2026-09-01", "received_on": "2026-09-10"}


def kind(coordinator: Someone, **values: Any) -> UUID:
    """Enter a kind of credential; ``values`` replace what is sent for it."""
    return coordinator.does("credential_type", "create", **KIND | values).record.id


def enters(coordinator: Someone, holder: Someone, type: UUID, **values: Any) -> Any:
    """Enter somebody's credential of a kind; return the record."""
    told = {"holder": holder.member.id, "type": type, "number": "W-208"} | DATES | values
    return coordinator.does("credential", "create", **told).record
