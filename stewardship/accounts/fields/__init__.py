"""What may be sent about a group and its members."""

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
    "AmendGroup",
    "AmendMember",
    "AreaUnit",
    "EndMember",
    "LeadDays",
    "MassUnit",
    "NewDevice",
    "NewMember",
    "VolumeUnit",
]
