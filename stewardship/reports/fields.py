"""What may be sent about seasons and their reports."""

from datetime import date
from typing import Annotated
from uuid import UUID

from msgspec import UNSET, UnsetType

from stewardship.journal.fields import Amend, Name, New, Ref
from stewardship.places.models import Property
from stewardship.reports.models import Season


class NewSeason(New, frozen=True):
    """A season: its first and last local date, both included."""

    name: Name
    first_on: date
    last_on: date


class AmendSeason(Amend, frozen=True):
    """Another name or other dates for a season."""

    name: Name | UnsetType = UNSET
    first_on: date | UnsetType = UNSET
    last_on: date | UnsetType = UNSET


class AskForReport(New, frozen=True):
    """The report of a property and season, compiled anew if it is there already."""

    property: Annotated[UUID, Ref(Property)]
    season: Annotated[UUID, Ref(Season)]
