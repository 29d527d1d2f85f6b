"""What a change of a series looks at, read once for all series of an entry."""

from typing import Any
from uuid import UUID

from stewardship.journal.book import Entry
from stewardship.places.models import Property
from stewardship.workdays.models import Duty, SignUp, WorkDay, WorkDaySeries


def properties_of_series(entry: Entry, wishes: list[Any]) -> None:
    """Read the properties of these series."""
    entry.load(Property, {series.property_id for series in entry.known(WorkDaySeries).values()}, lock=False)


def duties_of_series(entry: Entry, wishes: list[Any]) -> None:
    """Read and lock the duties of the days of these series: they follow it."""
    entry.load_lists(Duty, "work_day_id", _days(entry), lock=True)


def sign_ups_of_series(entry: Entry, wishes: list[Any]) -> None:
    """Read and lock who signed up for the days of these series: who waits may move up."""
    entry.load_lists(SignUp, "work_day_id", _days(entry), lock=True)


def _days(entry: Entry) -> set[UUID]:
    return {day.id for day in entry.known(WorkDay).values() if day.series_id}
