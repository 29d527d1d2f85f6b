"""What may be sent about sessions."""

from datetime import datetime
from typing import Annotated
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.attachments.fields import Files
from stewardship.journal.fields import Amend, Moment, New, Ref, Target, Text
from stewardship.places.models import Unit
from stewardship.treatments.fields.weather import Coordinates, Weather
from stewardship.treatments.models import Contractor
from stewardship.workdays.models import WorkDay

Short = Annotated[str, Meta(max_length=200)]
Helpers = Annotated[list[Annotated[UUID, Ref(Member)]], Meta(max_length=60)]


WHO_AND_WHEN = "What was written on paper first says both who wrote it and when: written_by and written_at."


class NewSession(New, frozen=True):
    """A treatment session in one unit by one applicator or one contractor. What is null was not told.

    The unit is locked: lines of the same push count in it.
    """

    unit: Annotated[UUID, Ref(Unit, lock=True)]
    started_at: Moment
    applicator: Annotated[UUID, Ref(Member)] | None = None
    contractor: Annotated[UUID, Ref(Contractor)] | None = None
    supervisor: Annotated[UUID, Ref(Member)] | None = None
    voice_contact: Text = ""
    helpers: Helpers | None = None
    all_adults: bool | None = None
    ended_at: Moment | None = None
    written_by: Annotated[UUID, Ref(Member)] | None = None
    written_at: Moment | None = None
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
    photos: Files = []
    note: Text = ""

    def __post_init__(self) -> None:
        """Refuse a sheet of paper without its writer or its time."""
        _check_paper(self.written_by, self.written_at)


class EndSession(Target, frozen=True):
    """The end of a session."""

    ended_at: Moment


class AmendSession(Amend, frozen=True):
    """A correction of a session; after it was signed, this takes the signatures back."""

    applicator: Annotated[UUID, Ref(Member)] | None | UnsetType = UNSET
    contractor: Annotated[UUID, Ref(Contractor)] | None | UnsetType = UNSET
    supervisor: Annotated[UUID, Ref(Member)] | None | UnsetType = UNSET
    voice_contact: Text | UnsetType = UNSET
    helpers: Helpers | None | UnsetType = UNSET
    all_adults: bool | None | UnsetType = UNSET
    started_at: Moment | UnsetType = UNSET
    ended_at: Moment | None | UnsetType = UNSET
    written_by: Annotated[UUID, Ref(Member)] | None | UnsetType = UNSET
    written_at: Moment | None | UnsetType = UNSET
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
    photos: Files | UnsetType = UNSET
    note: Text | UnsetType = UNSET

    def __post_init__(self) -> None:
        """Refuse half a correction of who wrote a sheet of paper, and when."""
        if (self.written_by is UNSET) != (self.written_at is UNSET):
            raise ValueError(WHO_AND_WHEN)
        _check_paper(self.written_by, self.written_at)


def _check_paper(written_by: UUID | UnsetType | None, written_at: datetime | UnsetType | None) -> None:
    if (written_by is None) != (written_at is None):
        raise ValueError(WHO_AND_WHEN)
