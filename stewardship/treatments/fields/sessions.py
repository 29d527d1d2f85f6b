"""What may be sent about sessions."""

from typing import Annotated
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.journal.fields import Amend, Moment, New, Ref, Target, Text
from stewardship.places.models import Unit
from stewardship.treatments.fields.weather import Coordinates, Weather
from stewardship.treatments.models import Contractor
from stewardship.workdays.models import WorkDay

Short = Annotated[str, Meta(max_length=200)]
Helpers = Annotated[list[Annotated[UUID, Ref(Member)]], Meta(max_length=60)]


class NewSession(New, frozen=True):
    """A treatment session in one unit by one applicator or one contractor. What is null was not told.

    The unit is locked: lines of the same push count in it.
    """

    unit: Annotated[UUID, Ref(Unit, lock=True)]
    started_at: Moment
    applicator: Annotated[UUID, Ref(Member)] | None = None
    contractor: Annotated[UUID, Ref(Contractor)] | None = None
    supervisor: Annotated[UUID, Ref(Member)] | None = None
    helpers: Helpers | None = None
    all_adults: bool | None = None
    ended_at: Moment | None = None
    work_day: Annotated[UUID, Ref(WorkDay, lock=True)] | None = None
    place_text: Text = ""
    coordinates: Coordinates | None = None
    site_type: Short = ""
    equipment: Short = ""
    weather: Weather = []
    weather_changed: bool | None = None
    reentry_note: Text = ""
    had_incident: bool | None = None
    incident: Text = ""
    for_a_customer: bool | None = None
    customer: Text = ""
    note: Text = ""


class EndSession(Target, frozen=True):
    """The end of a session."""

    ended_at: Moment


class AmendSession(Amend, frozen=True):
    """A correction of a session; after it was signed, this takes the signatures back."""

    applicator: Annotated[UUID, Ref(Member)] | None | UnsetType = UNSET
    contractor: Annotated[UUID, Ref(Contractor)] | None | UnsetType = UNSET
    supervisor: Annotated[UUID, Ref(Member)] | None | UnsetType = UNSET
    helpers: Helpers | None | UnsetType = UNSET
    all_adults: bool | None | UnsetType = UNSET
    started_at: Moment | UnsetType = UNSET
    ended_at: Moment | None | UnsetType = UNSET
    place_text: Text | UnsetType = UNSET
    coordinates: Coordinates | None | UnsetType = UNSET
    site_type: Short | UnsetType = UNSET
    equipment: Short | UnsetType = UNSET
    weather: Weather | UnsetType = UNSET
    weather_changed: bool | None | UnsetType = UNSET
    reentry_note: Text | UnsetType = UNSET
    had_incident: bool | None | UnsetType = UNSET
    incident: Text | UnsetType = UNSET
    for_a_customer: bool | None | UnsetType = UNSET
    customer: Text | UnsetType = UNSET
    note: Text | UnsetType = UNSET
