"""What is left is measured, ends, is identified; it draws nothing."""

from typing import Any
from zoneinfo import ZoneInfo

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns
from stewardship.places.models import Property
from stewardship.places.zones import group_zone, zone_of
from stewardship.rules.balances import Measure, Statement
from stewardship.rules.dates import local_date
from stewardship.rules.mixes.compositions import ContentsUnknown
from stewardship.treatments import fields
from stewardship.treatments.models import Batch, Leftover, StockMovement
from stewardship.treatments.services import facts
from stewardship.treatments.services.balances import kept_marks, over_marks
from stewardship.treatments.services.sessions import EndsBeforeItBegins
from stewardship.workdays.models import WorkDay


class LeftoverEnded(RuleViolation):
    """A measure ends once."""

    code = "leftover_ended"
    message = "This leftover has ended already. Measure what is there as a new one."
    where = "ended_at"


class ContentsKnown(RuleViolation):
    """Only a container of unknown contents is identified."""

    code = "contents_known"
    message = "It is already on record which batch this is of. Void it and enter it anew if that is wrong."
    where = "batch"


class TakenFromUnknown(RuleViolation):
    """What was taken out of a container before anybody knew what it was is in no batch's account."""

    code = "taken_from_unknown"
    message = (
        "Some of this container was disposed of or lost before it was identified. Void that, identify the container, "
        "and enter it again: it then comes out of its batch."
    )


def record_leftover(entry: Entry, new: fields.NewLeftover) -> Leftover:
    """Record what was measured, or a container that was found; without a batch it is kept apart until identified."""
    batch = facts.living(entry.get(Batch, new.batch)) if new.batch else None
    zone = _zone(entry, new, batch)
    on = local_date(new.measured_at, zone)
    day = facts.join_day(entry, new.work_day)
    marks = [*facts.day_marks(day, new.property), *facts.date_marks(day, on, "measured_at")]
    if batch:
        marks += _over_marks(entry, batch, columns(new))
    return entry.create(Leftover, id=new.id, **columns(new), time_zone=zone.key, on_date=on, marks=marks)


def amend_leftover(entry: Entry, wish: fields.AmendLeftover) -> Leftover:
    """Correct what was measured."""
    leftover = facts.living(entry.get(Leftover, wish.id))
    values = columns(wish)
    after = vars(leftover) | values
    if leftover.ended_at and leftover.ended_at < after["measured_at"]:
        raise EndsBeforeItBegins(where="measured_at")
    values["on_date"] = local_date(after["measured_at"], ZoneInfo(leftover.time_zone))
    values["marks"] = kept_marks(leftover) + _marks_again(entry, leftover, after)
    return entry.change(leftover, **values)


def end_leftover(entry: Entry, wish: fields.EndLeftover) -> Leftover:
    """Say that a leftover was used up, or that what is there was measured again."""
    leftover = facts.living(entry.get(Leftover, wish.id))
    if leftover.ended_at and (leftover.ended_at, leftover.end) != (wish.ended_at, wish.end):
        raise LeftoverEnded
    if wish.ended_at < leftover.measured_at:
        raise EndsBeforeItBegins
    if leftover.batch_id is None and wish.end == "used":
        raise ContentsUnknown(where="end")
    return entry.change(leftover, ended_at=wish.ended_at, end=wish.end)


def identify_leftover(entry: Entry, wish: fields.IdentifyLeftover) -> Leftover:
    """Say of which batch a found container is, with the evidence; from now on it is a measure of that batch."""
    leftover = facts.living(entry.get(Leftover, wish.id))
    if leftover.batch_id is not None:
        raise ContentsKnown
    if leftover.ended_at:
        raise LeftoverEnded(where="")
    if any(not movement.voided_at for movement in entry.list_of(StockMovement, "leftover_id", leftover.id)):
        raise TakenFromUnknown
    batch = facts.living(entry.get(Batch, wish.batch))
    marks = kept_marks(leftover) + _over_marks(entry, batch, vars(leftover), leftover)
    return entry.change(leftover, batch_id=batch.id, evidence=wish.evidence, identified_at=entry.at, marks=marks)


def void_leftover(entry: Entry, wish: Target) -> Leftover:
    """Take a measure out of its batch's account."""
    return facts.void(entry, entry.get(Leftover, wish.id))


def reinstate_leftover(entry: Entry, wish: Target) -> Leftover:
    """Put a voided measure back."""
    leftover = facts.voided(entry, Leftover, wish)
    marks = kept_marks(leftover) + _marks_again(entry, leftover, vars(leftover))
    return entry.change(leftover, voided_at=None, marks=marks)


def _zone(entry: Entry, new: fields.NewLeftover, batch: Batch | None) -> ZoneInfo:
    """Return the clock that its date is told by: that of its place, of its day, of its batch, else the group's."""
    if new.property:
        return zone_of(entry, entry.get(Property, new.property))
    if new.work_day:
        return entry.get(WorkDay, new.work_day).zone()
    return ZoneInfo(batch.time_zone) if batch else group_zone(entry)


def _marks_again(entry: Entry, leftover: Leftover, after: dict[str, Any]) -> facts.Marks:
    if leftover.batch_id is None:
        return []
    return _over_marks(entry, entry.get(Batch, leftover.batch_id), after, leftover)


def _over_marks(entry: Entry, batch: Batch, said: dict[str, Any], own: Leftover | None = None) -> facts.Marks:
    ended_at = own.ended_at if own else None
    new = Measure(said["volume_nl"], said["measured_at"], ended_at, Statement(said["how_known"]))
    return over_marks(entry, batch, new, "volume", without=own)
