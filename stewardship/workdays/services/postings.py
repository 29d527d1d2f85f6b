"""Signs are put up and taken down: who, and when."""

from uuid import UUID

from stewardship.errors import AlreadyVoided, RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns
from stewardship.places.models import Unit
from stewardship.workdays import fields
from stewardship.workdays.models import Posting, WorkDay
from stewardship.workdays.services.planning import UnitElsewhere
from stewardship.workdays.states import check_not_ended


class DayElsewhere(RuleViolation):
    """A sign and an incident of a work day are on its property."""

    code = "day_elsewhere"
    message = "This work day is on another property. Correct one of the two."
    where = "work_day"


class DownBeforeUp(RuleViolation):
    """A sign comes down after it went up."""

    code = "down_before_up"
    message = "This time lies before the sign was put up. Correct one of the two times."
    where = "taken_down_at"


class DownAlready(RuleViolation):
    """A sign is taken down once."""

    code = "down_already"
    message = "This sign was taken down already, as the record says. Void it and enter it anew if that is wrong."
    where = "taken_down_at"


def put_up(entry: Entry, new: fields.NewPosting) -> Posting:
    """Record that a sign was put up."""
    check_day(entry, new.work_day, new.property)
    for id in new.units:
        unit = entry.get(Unit, id)
        if unit.property_id != new.property:
            raise UnitElsewhere(name=unit.name)
    if new.due_down_at and new.due_down_at < new.put_up_at:
        raise DownBeforeUp(where="due_down_at")
    values = columns(new) | {"units": list(dict.fromkeys(str(id) for id in new.units))}
    values["put_up_by_id"] = new.put_up_by or entry.by.member_id
    return entry.create(Posting, id=new.id, **values)


def amend_posting(entry: Entry, wish: fields.AmendPosting) -> Posting:
    """Correct what a sign says, or when it is to come down."""
    found = _of_open_day(entry, wish.id)
    if found.voided_at:
        raise AlreadyVoided
    values = columns(wish)
    if values.get("due_down_at") and values["due_down_at"] < found.put_up_at:
        raise DownBeforeUp(where="due_down_at")
    return entry.change(found, **values)


def take_down(entry: Entry, wish: fields.TakeDown) -> Posting:
    """Record that a sign was taken down; the same again changes nothing."""
    found = _of_open_day(entry, wish.id)
    by = wish.taken_down_by or entry.by.member_id
    if found.voided_at:
        raise AlreadyVoided
    if wish.taken_down_at < found.put_up_at:
        raise DownBeforeUp
    if found.taken_down_at and found.taken_down_at != wish.taken_down_at:
        raise DownAlready
    return found if found.taken_down_at else entry.change(
        found, taken_down_at=wish.taken_down_at, taken_down_by_id=by
    )  # fmt: skip


def void_posting(entry: Entry, wish: Target) -> Posting:
    """Call a sign a mistaken entry. Again changes nothing."""
    found = _of_open_day(entry, wish.id)
    return found if found.voided_at else entry.change(found, voided_at=entry.at)


def check_day(entry: Entry, day_id: UUID | None, property_id: UUID) -> None:
    """Refuse a work day that is over for good or on another property. Raises StateWrong, DayElsewhere."""
    if day_id is None:
        return
    day = entry.get(WorkDay, day_id)
    check_not_ended(day.state)
    if day.property_id != property_id:
        raise DayElsewhere


def _of_open_day(entry: Entry, id: UUID) -> Posting:
    found = entry.get(Posting, id)
    if found.work_day_id:
        check_not_ended(entry.get(WorkDay, found.work_day_id).state)
    return found
