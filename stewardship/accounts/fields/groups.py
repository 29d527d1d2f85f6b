"""What may be sent about a group, its members and their devices."""

from typing import Annotated, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.journal.fields import Amend, Closed, Jurisdiction, Name, New, Ref, Target, ZoneName

RoleName = Literal["coordinator", "volunteer", "reviewer"]
VolumeUnit = Literal["ml", "l", "fl_oz", "pt", "qt", "gal", "imp_fl_oz", "imp_gal"]
MassUnit = Literal["g", "kg", "oz", "lb"]
AreaUnit = Literal["m2", "ha", "sq_ft", "acre"]
LeadDays = list[Literal[90, 60, 30, 7, 0]]
Email = Annotated[str, Meta(max_length=254, pattern=r"^[^@\s]+@[^@\s]+\.[^@\s]+$")]


class AmendGroup(Amend, frozen=True):
    """The settings of a group."""

    name: Name | UnsetType = UNSET
    time_zone: ZoneName | UnsetType = UNSET
    jurisdiction: Jurisdiction | UnsetType = UNSET
    volume_unit: VolumeUnit | UnsetType = UNSET
    mass_unit: MassUnit | UnsetType = UNSET
    area_unit: AreaUnit | UnsetType = UNSET
    wants_waivers: bool | UnsetType = UNSET
    wants_briefings: bool | UnsetType = UNSET
    lead_days: LeadDays | UnsetType = UNSET
    second_coordinator: Annotated[UUID, Ref(Member)] | None | UnsetType = UNSET
    escalate_after_days: Annotated[int, Meta(ge=1, le=30)] | UnsetType = UNSET
    wants_permissions: bool | UnsetType = UNSET
    wants_registrations: bool | UnsetType = UNSET
    wants_approved_tasks: bool | UnsetType = UNSET


class NewMember(New, frozen=True):
    """A person who joins; without an e-mail address they work along but cannot sign in."""

    display_name: Name
    role: RoleName
    email: Email | None = None


class AmendMember(Amend, frozen=True):
    """A member's name on rosters and their role."""

    display_name: Name | UnsetType = UNSET
    role: RoleName | UnsetType = UNSET


class EndMember(Target, frozen=True):
    """The end of a membership; what the person recorded stays."""


class LeaveGroup(Target, frozen=True):
    """A member's own leaving; what they recorded stays."""


class SuspendMember(Target, frozen=True):
    """A member may neither act nor read until they are restored; it says why."""


class RestoreMember(Target, frozen=True):
    """The end of a suspension."""


class EraseMember(Target, frozen=True):
    """What is personal of somebody who left is erased for good; it says why, without naming them."""


class NewDevice(Closed, frozen=True):
    """A phone or program that will act for the person who asks."""

    name: Annotated[str, Meta(min_length=1, max_length=100, pattern=r"\S")]
