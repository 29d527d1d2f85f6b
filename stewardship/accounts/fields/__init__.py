"""What may be sent about a group, its members, and what they say of themselves."""

from stewardship.accounts.fields.consents import AmendConsentText, NewConsent, NewConsentText
from stewardship.accounts.fields.details import (
    AmendEmergencyContact,
    AmendPersonalDetails,
    NewEmergencyContact,
    NewPersonalDetails,
    RemoveEmergencyContact,
)
from stewardship.accounts.fields.groups import (
    AmendGroup,
    AmendMember,
    AreaUnit,
    EndMember,
    EraseMember,
    LeadDays,
    LeaveGroup,
    MassUnit,
    NewDevice,
    NewMember,
    RestoreMember,
    SuspendMember,
    VolumeUnit,
)

__all__ = [
    "AmendConsentText",
    "AmendEmergencyContact",
    "AmendGroup",
    "AmendMember",
    "AmendPersonalDetails",
    "AreaUnit",
    "EndMember",
    "EraseMember",
    "LeadDays",
    "LeaveGroup",
    "MassUnit",
    "NewConsent",
    "NewConsentText",
    "NewDevice",
    "NewEmergencyContact",
    "NewMember",
    "NewPersonalDetails",
    "RemoveEmergencyContact",
    "RestoreMember",
    "SuspendMember",
    "VolumeUnit",
]
