"""Properties and units come into the group's care and are corrected."""

from typing import Any

from stewardship.journal.book import Entry
from stewardship.journal.fields import columns
from stewardship.places import fields
from stewardship.places.models import Property, Unit


def add_property(entry: Entry, new: fields.NewProperty) -> Property:
    """Take a property into the group's care."""
    return entry.create(Property, id=new.id, **_columns(new))


def amend_property(entry: Entry, wish: fields.AmendProperty) -> Property:
    """Correct a property."""
    return entry.change(entry.get(Property, wish.id), **_columns(wish))


def add_unit(entry: Entry, new: fields.NewUnit) -> Unit:
    """Lay out a management unit in a property."""
    return entry.create(Unit, id=new.id, **_columns(new))


def amend_unit(entry: Entry, wish: fields.AmendUnit) -> Unit:
    """Correct a unit."""
    return entry.change(entry.get(Unit, wish.id), **_columns(wish))


def _columns(wish: Any) -> dict[str, Any]:
    """Return the columns of a place; without a boundary there is no area."""
    values = columns(wish)
    return values | {"area_mm2": None} if wish.boundary is None else values
