"""Person and device (global); group, member, invitation, and what members say of themselves (records)."""

from stewardship.accounts.models.attempts import Attempts
from stewardship.accounts.models.consents import Consent, ConsentKind, ConsentText, HowGiven, Renewal
from stewardship.accounts.models.details import EmergencyContact, PersonalDetails
from stewardship.accounts.models.groups import Group, Member, Role
from stewardship.accounts.models.invitations import Invitation, InvitationSecret, InvitationState
from stewardship.accounts.models.persons import Device, People, Person

__all__ = [
    "Attempts",
    "Consent",
    "ConsentKind",
    "ConsentText",
    "Device",
    "EmergencyContact",
    "Group",
    "HowGiven",
    "Invitation",
    "InvitationSecret",
    "InvitationState",
    "Member",
    "People",
    "Person",
    "PersonalDetails",
    "Renewal",
    "Role",
]
