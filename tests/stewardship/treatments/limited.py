"""Stored limits, land and lines for the tests of what is marked."""

from typing import Any

from tests.cast import Someone
from tests.ground import Ground

SQUARE = [[-88.1, 42.1], [-88.0992318, 42.1], [-88.0992318, 42.1005734], [-88.1, 42.1005734], [-88.1, 42.1]]
"""A piece of ground of 1.0001 acres."""


def licensed(who: Someone) -> None:
    """Give somebody a card that has no end, so that marks are those of limits alone."""
    days = {"issued_on": "2020-01-01", "received_on": "2020-01-02", "never_expires": True}
    who.does("credential", "create", holder=who.member.id, covers="herbicide_application", **days)


def limit(who: Someone, **changes: Any) -> Any:
    """Enter a limit; return it."""
    values = {"wording": "As the source words it.", "source": "An invented handbook, page 1"}
    return who.does("limit", "create", **values | changes).record


def mapped(ground: Ground, unit: Any = None) -> Any:
    """Give a unit its boundary; return its id."""
    boundary = {"type": "Polygon", "coordinates": [SQUARE]}
    id = unit or ground.unit
    ground.coordinator.does("unit", "amend", id=id, boundary=boundary)
    return id


def creek(ground: Ground, longitude: float, **changes: Any) -> Any:
    """Mark a creek that runs north along a longitude, past the unit."""
    told = {
        "name": "Heron Creek",
        "what": "water",
        "geometry": {"type": "LineString", "coordinates": [[longitude, 42.09], [longitude, 42.11]]},
        "source": "The county's map of streams",
    }
    return ground.coordinator.does("sensitive_area", "create", **told | changes).record


def codes(record: Any) -> list[str]:
    """Return the codes of a record's marks, in their order."""
    return [mark["code"] for mark in record.marks]


def line(ground, ounces="5", **values):
    """Record so much of a batch, a new one unless one is named, in a session of its own."""
    batch = values.pop("batch", None) or ground.batch()
    return ground.line(ground.session(), batch, ounces, **values)
