"""What may be sent about notices to neighbours and landowners."""

from datetime import date
from typing import Annotated
from uuid import UUID

from msgspec import UNSET, UnsetType

from stewardship.accounts.models import Member
from stewardship.journal.fields import Amend, Length, Moment, Name, New, Ref, Target, Text
from stewardship.places.models import LandPermission, Property


class NewNeighbourNotice(New, frozen=True):
    """Somebody who is to be told of herbicide work on these days; with ``permission`` it is who gave that."""

    property: Annotated[UUID, Ref(Property)]
    name: Name
    first_on: date
    last_on: date
    permission: Annotated[UUID, Ref(LandPermission)] | None = None
    address: Text = ""
    distance: Length | None = None
    registered: bool | None = None
    note: Text = ""


class AmendNeighbourNotice(Amend, frozen=True):
    """A correction of who is to be told of what; the attempts stay."""

    name: Name | UnsetType = UNSET
    first_on: date | UnsetType = UNSET
    last_on: date | UnsetType = UNSET
    address: Text | UnsetType = UNSET
    distance: Length | None | UnsetType = UNSET
    registered: bool | None | UnsetType = UNSET
    note: Text | UnsetType = UNSET


class Attempt(Target, frozen=True):
    """An attempt to tell somebody: when, how, by whom (else by who enters it), what came of it, whether it counts."""

    at: Moment
    how: Name
    told: bool
    by: Annotated[UUID, Ref(Member)] | None = None
    outcome: Text = ""
