"""Numbered bottles of 16 fl oz: taken out, brought back, split over lines."""

from typing import Any
from uuid import UUID

from tests.cast import Someone
from tests.ground import Ground, fl_oz

OUT, BACK = "2027-05-01T09:40:00-05:00", "2027-05-01T11:05:00-05:00"


def taken_out(ground: Ground, batch: UUID, ounces: str = "16", by: Someone | None = None, **values: Any) -> Any:
    """Fill bottle 3 and take it out; return the record."""
    by = by or ground.coordinator
    told = {"number": "3", "batch": batch, "filled": fl_oz(ounces), "holder": by.member.id, "out_at": OUT}
    return by.does("container", "create", **told | values).record


def came_back(ground: Ground, id: UUID, back: str | dict[str, str], by: Someone | None = None, **values: Any) -> Any:
    """Bring a bottle back with this many fluid ounces, or with what is given; return the record."""
    told = {"back": fl_oz(back) if isinstance(back, str) else back, "back_at": BACK}
    return (by or ground.coordinator).does("container", "bring_back", id=id, **told | values).record


def used(ground: Ground, batch: UUID, back: str = "6", **values: Any) -> UUID:
    """Take a bottle out and bring it back; return its id."""
    id: UUID = taken_out(ground, batch, **values).id
    came_back(ground, id, back)
    return id


def line(ground: Ground, **values: Any) -> dict[str, Any]:
    """Return a line that a bottle is split over, as it is sent."""
    told = {"species": str(ground.species), "method": "basal_bark"} | values
    return {name: str(value) if isinstance(value, UUID) else value for name, value in told.items()}


def shared(ground: Ground, id: UUID, session: UUID, *lines: dict[str, Any], by: Someone | None = None) -> Any:
    """Split a bottle over lines; return the record of the bottle."""
    return (by or ground.coordinator).does("container", "share", id=id, session=session, lines=list(lines)).record
