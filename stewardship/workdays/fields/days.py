"""What may be sent about work days."""

from datetime import date
from typing import Annotated
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.journal.fields import Amend, Moment, Name, New, Ref, Target, Text
from stewardship.places.models import Property, Unit

Units = Annotated[list[Annotated[UUID, Ref(Unit)]], Meta(max_length=200)]


class NewWorkDay(New, frozen=True):
    """A work day on a property: a draft, until it is opened. ``on_date`` is the property's local date."""

    property: Annotated[UUID, Ref(Property)]
    title: Name
    on_date: date
    starts_at: Moment | None = None
    ends_at: Moment | None = None
    meeting_point: Text = ""
    note: Text = ""
    units: Units = []
    herbicide_planned: bool = False


class AmendWorkDay(Amend, frozen=True):
    """A change of a work day; it stays with its property."""

    title: Name | UnsetType = UNSET
    on_date: date | UnsetType = UNSET
    starts_at: Moment | None | UnsetType = UNSET
    ends_at: Moment | None | UnsetType = UNSET
    meeting_point: Text | UnsetType = UNSET
    note: Text | UnsetType = UNSET
    units: Units | UnsetType = UNSET
    herbicide_planned: bool | UnsetType = UNSET


class StopWorkDay(Target, kw_only=True, frozen=True):
    """The early end of a work day: when, and why."""

    stopped_at: Moment
