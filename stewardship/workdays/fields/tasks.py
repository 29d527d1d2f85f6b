"""What may be sent about approved tasks."""

from datetime import date
from typing import Annotated
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.journal.fields import Amend, Name, New, Ref, Text
from stewardship.places.models import Property
from stewardship.workdays.fields.days import Methods, SpeciesWorkedOn, Units

WhoInWords = Annotated[str, Meta(max_length=200)]


class NewApprovedTask(New, frozen=True):
    """A task that somebody approved for a property: in words who, or which member. An empty list narrows nothing."""

    property: Annotated[UUID, Ref(Property)]
    title: Name
    approved_on: date
    from_on: date
    to_on: date | None = None
    approved_by: WhoInWords = ""
    approver: Annotated[UUID, Ref(Member)] | None = None
    units: Units = []
    species: SpeciesWorkedOn = []
    methods: Methods = []
    herbicide: bool = False
    document: Text = ""
    note: Text = ""


class AmendApprovedTask(Amend, frozen=True):
    """A correction of an approved task; it stays with its property."""

    title: Name | UnsetType = UNSET
    approved_on: date | UnsetType = UNSET
    from_on: date | UnsetType = UNSET
    to_on: date | None | UnsetType = UNSET
    approved_by: WhoInWords | UnsetType = UNSET
    approver: Annotated[UUID, Ref(Member)] | None | UnsetType = UNSET
    units: Units | UnsetType = UNSET
    species: SpeciesWorkedOn | UnsetType = UNSET
    methods: Methods | UnsetType = UNSET
    herbicide: bool | UnsetType = UNSET
    document: Text | UnsetType = UNSET
    note: Text | UnsetType = UNSET
