"""Duties are laid out on a work day."""

from uuid import UUID

from msgspec import UNSET

from stewardship.credentials.models import CredentialType
from stewardship.journal.book import Entry
from stewardship.journal.fields import columns
from stewardship.workdays import fields
from stewardship.workdays.models import Duty, Practice, WorkDay
from stewardship.workdays.practices import age_by_default
from stewardship.workdays.services.planning import part
from stewardship.workdays.services.waiting import fill_places
from stewardship.workdays.states import check_not_ended


def add_duty(entry: Entry, new: fields.NewDuty) -> Duty:
    """Lay out a duty on a work day; where nobody states a least age, a published one that the group goes by holds."""
    day = entry.get(WorkDay, new.work_day)
    check_not_ended(day.state)
    part(entry, day)
    age = new.minimum_age or age_by_default(entry.all_of(Practice), new.name)
    return entry.create(Duty, id=new.id, **columns(new) | {"minimum_age": age, "needs": _types(entry, new.needs)})


def amend_duty(entry: Entry, wish: fields.AmendDuty) -> Duty:
    """Change how many people a duty wants, or what it asks of them; who signed up stays, who waits moves up."""
    duty = entry.get(Duty, wish.id)
    day = entry.get(WorkDay, duty.work_day_id)
    check_not_ended(day.state)
    before = duty.rev
    values = columns(wish)
    if wish.needs is not UNSET:
        values["needs"] = _types(entry, wish.needs)
    entry.change(duty, **values)
    if duty.rev != before:
        part(entry, day)
        fill_places(entry, day)
    return duty


def _types(entry: Entry, ids: list[UUID]) -> list[str]:
    """Return the ids as text, each once. Raises Unavailable."""
    return list(dict.fromkeys(str(entry.get(CredentialType, id).id) for id in ids))
