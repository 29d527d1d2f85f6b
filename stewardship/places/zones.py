"""By which clock a property's days are told."""

from zoneinfo import ZoneInfo

from stewardship.accounts.models import Group
from stewardship.journal.book import Entry
from stewardship.places.models import Property


def zone_of(entry: Entry, property_: Property) -> ZoneInfo:
    """Return the time zone of a property: its own, else the group's."""
    if property_.time_zone:
        return ZoneInfo(property_.time_zone)
    return group_zone(entry)


def group_zone(entry: Entry) -> ZoneInfo:
    """Return the time zone of the group."""
    entry.load(Group, [entry.group_id], lock=False)
    return ZoneInfo(entry.get(Group, entry.group_id).time_zone)
