"""Person and device (global), group and member (records of the group), and what members say of themselves."""

from stewardship.accounts.models.consents import Consent, ConsentKind, ConsentText, HowGiven, Renewal
from stewardship.accounts.models.details import EmergencyContact, PersonalDetails
from stewardship.accounts.models.groups import Group, Member, Role
from stewardship.accounts.models.persons import Device, People, Person

__all__ = [
    "Consent",
    "ConsentKind",
    "ConsentText",
    "Device",
    "EmergencyContact",
    "Group",
    "HowGiven",
    "Member",
    "People",
    "Person",
    "PersonalDetails",
    "Renewal",
    "Role",
]
