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
    LeadDays,
    MassUnit,
    NewDevice,
    NewMember,
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
    "LeadDays",
    "MassUnit",
    "NewConsent",
    "NewConsentText",
    "NewDevice",
    "NewEmergencyContact",
    "NewMember",
    "NewPersonalDetails",
    "RemoveEmergencyContact",
    "VolumeUnit",
]
