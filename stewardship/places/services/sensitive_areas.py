"""Sensitive areas are marked, corrected and taken out of use."""

from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns
from stewardship.places import fields
from stewardship.places.models import SensitiveArea


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
