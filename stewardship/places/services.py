"""Properties, units and sensitive areas come into the group's care and are corrected."""

from typing import Any

from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns
from stewardship.places import fields
from stewardship.places.models import Property, SensitiveArea, Unit


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


def add_sensitive_area(entry: Entry, new: fields.NewSensitiveArea) -> SensitiveArea:
    """Mark ground or water that work must spare; it names who says so."""
    return entry.create(SensitiveArea, id=new.id, **columns(new))


def amend_sensitive_area(entry: Entry, wish: fields.AmendSensitiveArea) -> SensitiveArea:
    """Correct a sensitive area; what was marked before stays marked."""
    return entry.change(entry.get(SensitiveArea, wish.id), **columns(wish))


def retire_sensitive_area(entry: Entry, wish: Target) -> SensitiveArea:
    """Take a sensitive area out of use; doing it again changes nothing."""
    area = entry.get(SensitiveArea, wish.id)
    return area if area.retired_at else entry.change(area, retired_at=entry.at)


def reinstate_sensitive_area(entry: Entry, wish: Target) -> SensitiveArea:
    """Take a retired sensitive area back into use."""
    return entry.change(entry.get(SensitiveArea, wish.id), retired_at=None)


def _columns(wish: Any) -> dict[str, Any]:
    """Return the columns of a place; without a boundary there is no area."""
    values = columns(wish)
    return values | {"area_mm2": None} if wish.boundary is None else values
