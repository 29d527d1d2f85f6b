"""What a duty on a day asks of the credentials of its people, and how somebody stands to it."""

from collections.abc import Callable, Iterable, Iterator
from datetime import date
from uuid import UUID

from stewardship.credentials.judging import standing_of, types_in
from stewardship.credentials.models import Covers
from stewardship.credentials.needs import Named, Need, named
from stewardship.credentials.standing import Standing, best_of, marks_for
from stewardship.journal.book import Entry
from stewardship.places.models import Property
from stewardship.workdays.models import Duty, DutyName, SignUp, WorkDay

NEEDS: dict[str, str] = {
    DutyName.APPLICATOR: Covers.HERBICIDE_APPLICATION,
    DutyName.SAWYER: Covers.SAW,
    DutyName.BURN_BOSS: Covers.BURNING,
}
"""Duty -> what its people need a credential for, whatever else the duty names itself."""

WITH_HERBICIDE = frozenset({DutyName.APPLICATOR})
"""Duties that ask for their credential on a day with herbicide only."""

PLANNED: list[Callable[[Entry, WorkDay], Iterable[Need]]] = []
"""What tells the herbicide work that is planned for a day, one need for each mix: an applicator is good for one."""


def people_of(entry: Entry, day: WorkDay) -> list[SignUp]:
    """Return the day's sign-ups that stand and do not wait for a place."""
    return [s for s in entry.list_of(SignUp, "work_day_id", day.id) if s.withdrawn_at is None and not s.is_waiting]


def covers_of(duty: Duty, day: WorkDay) -> str | None:
    """Return what a duty of its own name needs a credential for on this day; None where it needs none."""
    return None if duty.name in WITH_HERBICIDE and not day.herbicide_planned else NEEDS.get(duty.name)


def asks(duty: Duty, day: WorkDay) -> bool:
    """Tell whether a duty asks its people for any credential on this day."""
    return covers_of(duty, day) is not None or bool(duty.needs)


def planned_work(entry: Entry, day: WorkDay) -> list[Need]:
    """Return what the mixes planned for a day ask of whoever applies them."""
    return [need for tell in PLANNED for need in tell(entry, day)] if day.herbicide_planned else []


def standings_for(entry: Entry, member_id: UUID, day: WorkDay, duty: Duty, on: date) -> list[Standing]:
    """Return a member's standing for each thing that a duty asks on a local date; empty where it asks nothing."""
    return [
        best_of([standing_of(entry, member_id, need, on) for need in one_of]) for one_of in _needs(entry, day, duty)
    ]


def marks_of(entry: Entry, member_id: UUID, day: WorkDay, duty: Duty, on: date) -> list[dict[str, str]]:
    """Return what to flag about a member on a duty on a local date: nothing if everything asked for counted."""
    found = standings_for(entry, member_id, day, duty, on)
    return [mark for each in found for mark in marks_for(each, "member", on)]


def _needs(entry: Entry, day: WorkDay, duty: Duty) -> Iterator[list[Need]]:
    """Give what a duty asks: of each list one need must be met."""
    place = place_of(entry, day)
    if covers := covers_of(duty, day):
        planned = planned_work(entry, day) if duty.name in WITH_HERBICIDE else []
        yield planned or [Need(covers, property=place)]
    types = types_in(entry) if duty.needs else {}
    for id in map(UUID, duty.needs):
        yield [Need(types[id].covers, property=place, type=id)]


def place_of(entry: Entry, day: WorkDay) -> Named:
    """Return the land of a day, by its name where that was read already."""
    known = entry.known(Property).get(day.property_id)
    return named(known) if known else Named(str(day.property_id))
