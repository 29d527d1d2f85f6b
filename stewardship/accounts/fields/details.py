"""What may be sent about a member's personal details and whom to call."""

from datetime import date
from typing import Annotated
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.journal.fields import Amend, Name, New, Ref, Target

Phone = Annotated[str, Meta(max_length=60)]
NumberToCall = Annotated[str, Meta(min_length=3, max_length=60, pattern=r"\d")]
Address = Annotated[str, Meta(max_length=1000)]
Relation = Annotated[str, Meta(max_length=100)]
Place = Annotated[int, Meta(ge=1, le=20)]


class NewPersonalDetails(New, frozen=True):
    """A member's age, as exact as is needed, and where to reach them; without ``member`` it is one's own."""

    member: Annotated[UUID, Ref(Member)] | None = None
    born_on: date | None = None
    adult_from: date | None = None
    under_18: bool = False
    address: Address = ""
    phone: Phone = ""


class AmendPersonalDetails(Amend, frozen=True):
    """A correction of a member's personal details."""

    born_on: date | None | UnsetType = UNSET
    adult_from: date | None | UnsetType = UNSET
    under_18: bool | UnsetType = UNSET
    address: Address | UnsetType = UNSET
    phone: Phone | UnsetType = UNSET


class NewEmergencyContact(New, frozen=True):
    """Somebody to call if something happens to a member; without ``member`` to oneself."""

    name: Name
    phone: NumberToCall
    member: Annotated[UUID, Ref(Member)] | None = None
    relation: Relation = ""
    place: Place = 1


class AmendEmergencyContact(Amend, frozen=True):
    """A correction of somebody to call."""

    name: Name | UnsetType = UNSET
    phone: NumberToCall | UnsetType = UNSET
    relation: Relation | UnsetType = UNSET
    place: Place | UnsetType = UNSET


class RemoveEmergencyContact(Target, frozen=True):
    """Somebody who is not to be called any more."""
