"""A property has one emergency sheet, and it is kept true."""

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import columns
from stewardship.workdays import fields
from stewardship.workdays.fields.emergency_sheets import kept
from stewardship.workdays.models import EmergencySheet


class SheetKnown(RuleViolation):
    """A property has one emergency sheet."""

    code = "sheet_known"
    message = "This property has an emergency sheet already. Correct that one."
    where = "property"


def add_sheet(entry: Entry, new: fields.NewEmergencySheet) -> EmergencySheet:
    """Write the emergency sheet of a property."""
    if entry.list_of(EmergencySheet, "property_id", new.property):
        raise SheetKnown
    return entry.create(EmergencySheet, id=new.id, **kept(columns(new)))


def amend_sheet(entry: Entry, wish: fields.AmendEmergencySheet) -> EmergencySheet:
    """Correct the emergency sheet of a property."""
    return entry.change(entry.get(EmergencySheet, wish.id), **kept(columns(wish)))
