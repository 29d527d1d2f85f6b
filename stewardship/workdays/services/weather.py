"""Somebody reads the weather: a fact, whatever it says. Why work went on over a stored limit is kept beside it."""

from typing import Any

from stewardship.errors import AlreadyVoided
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns, no_quantity
from stewardship.workdays import fields
from stewardship.workdays.leading import check_leads
from stewardship.workdays.models import WeatherReading, WorkDay
from stewardship.workdays.states import check_not_ended

LEADS = "Only the leader of the day, or a coordinator, can say why work goes on over a stored limit."


def read_weather(entry: Entry, new: fields.NewWeatherReading) -> WeatherReading:
    """Record what somebody read."""
    day = entry.get(WorkDay, new.work_day)
    check_not_ended(day.state)
    if new.went_on.strip():
        check_leads(entry, day, LEADS)
    return entry.create(WeatherReading, id=new.id, **_quantities(columns(new)))


def go_on(entry: Entry, wish: fields.GoOn) -> WeatherReading:
    """Keep why work over a stored limit went on."""
    found = entry.get(WeatherReading, wish.id)
    day = entry.get(WorkDay, found.work_day_id)
    check_not_ended(day.state)
    if found.voided_at:
        raise AlreadyVoided
    check_leads(entry, day, LEADS)
    return entry.change(found, went_on=wish.went_on)


def void_reading(entry: Entry, wish: Target) -> WeatherReading:
    """Call a reading a mistaken entry. Again changes nothing."""
    found = entry.get(WeatherReading, wish.id)
    check_not_ended(entry.get(WorkDay, found.work_day_id).state)
    return found if found.voided_at else entry.change(found, voided_at=entry.at)


def _quantities(values: dict[str, Any]) -> dict[str, Any]:
    for name, base in (("wind_speed", "um_s"), ("temperature", "mc")):
        if name in values and values.pop(name) is None:
            values |= no_quantity(name, base)
    return values
