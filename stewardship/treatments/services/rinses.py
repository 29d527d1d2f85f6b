"""Rinse water is recorded; a mistaken entry is voided."""

from zoneinfo import ZoneInfo

from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns, no_quantity
from stewardship.places.zones import group_zone
from stewardship.rules.dates import local_date
from stewardship.treatments import fields
from stewardship.treatments.models import Batch, Rinse
from stewardship.treatments.services import facts
from stewardship.workdays.models import WorkDay


def record_rinse(entry: Entry, new: fields.NewRinse) -> Rinse:
    """Record that something was rinsed; where nobody says where the water went, that is marked."""
    zone = _zone(entry, new)
    on = local_date(new.rinsed_at, zone)
    day = facts.join_day(entry, new.work_day)
    values = columns(new)
    if new.volume is None:
        del values["volume"]
        values |= no_quantity("volume", "nl")
    marks = [*facts.day_marks(day), *facts.date_marks(day, on, "rinsed_at")]
    if new.into_batch is None and not new.manner.strip():
        marks.append(facts.mark("manner_unstated", "Say into which batch the rinse water went, or how.", "manner"))
    return entry.create(Rinse, id=new.id, **values, time_zone=zone.key, on_date=on, marks=marks)


def void_rinse(entry: Entry, wish: Target) -> Rinse:
    """Take a mistaken entry out."""
    return facts.void(entry, entry.get(Rinse, wish.id))


def reinstate_rinse(entry: Entry, wish: Target) -> Rinse:
    """Put a voided entry back."""
    return entry.change(facts.voided(entry, Rinse, wish), voided_at=None)


def _zone(entry: Entry, new: fields.NewRinse) -> ZoneInfo:
    if new.work_day:
        return entry.get(WorkDay, new.work_day).zone()
    return ZoneInfo(entry.get(Batch, new.batch).time_zone) if new.batch else group_zone(entry)
