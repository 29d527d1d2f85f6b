"""By whose rules a property's records are judged."""

from stewardship.accounts.models import Group
from stewardship.places.models import Property


def jurisdiction_of(property_: Property, group: Group) -> str:
    """Return the ISO 3166 code of a property: its own, else the group's; empty where neither names one."""
    return property_.jurisdiction or group.jurisdiction
