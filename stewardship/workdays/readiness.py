"""What a work day lacks before it can be confirmed: every reason at once."""

from collections.abc import Callable, Iterable, Iterator
from typing import Any
from uuid import UUID

from stewardship.accounts.models import Consent, Member, PersonalDetails
from stewardship.credentials.models import Credential
from stewardship.journal.book import Entry, Survey
from stewardship.places.models import Property
from stewardship.workdays.approval import not_approved, tasks_of_days
from stewardship.workdays.land import unlawful
from stewardship.workdays.models import Duty, SignUp, WorkDay
from stewardship.workdays.of_age import not_of_age
from stewardship.workdays.qualification import WITH_HERBICIDE, asks, marks_of, people_of
from stewardship.workdays.reasons import Reason


def lacking(entry: Entry, day: WorkDay) -> list[Reason]:
    """Return everything that the day lacks as it is planned now."""
    return [reason for lack in LACKS for reason in lack(entry, day)]


# -- what may lack ---------------------------------------------------------------------------------


def no_unit(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell whether herbicide is planned and no unit to use it in."""
    if day.herbicide_planned and not day.units:
        yield {"code": "unit_missing", "detail": "No unit is chosen to work in.", "where": "units"}


def unqualified(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell who is signed up for a duty without the credentials that it asks for on the day."""
    by_id = {duty.id: duty for duty in entry.list_of(Duty, "work_day_id", day.id)}
    asked = [s for s in people_of(entry, day) if asks(by_id[s.duty_id], day)]
    if day.herbicide_planned and not any(by_id[s.duty_id].name in WITH_HERBICIDE for s in asked):
        yield {"code": "applicator_missing", "detail": "Nobody is signed up as applicator.", "where": "duties"}
    entry.load(Member, [s.member_id for s in asked], lock=False)
    for sign_up in asked:
        name = entry.get(Member, sign_up.member_id).display_name
        where = f"members/{sign_up.member_id}"
        for mark in marks_of(entry, sign_up.member_id, day, by_id[sign_up.duty_id], day.on_date):
            yield {"code": mark["code"], "detail": f"{name}: {mark['detail']}", "where": where}


def gone(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell who is signed up for a day with herbicide and has left the group or is suspended."""
    if not day.herbicide_planned:
        return
    people = people_of(entry, day)
    entry.load(Member, [s.member_id for s in people], lock=False)
    for sign_up in people:
        member = entry.get(Member, sign_up.member_id)
        for reason in not_here(member):
            yield reason | {"detail": f"{member.display_name} {reason['detail']} Withdraw this sign-up."}


def not_here(member: Member) -> list[Reason]:
    """Return that a member does not belong to the group now, if that is so."""
    if member.is_present:
        return []
    detail = "left the group." if member.ended_at else "is suspended."
    return [{"code": "member_left", "detail": detail, "where": f"members/{member.id}"}]


def short(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell which duties of a day with herbicide lack people; by hand a day is held with whoever comes."""
    if not day.herbicide_planned:
        return
    people = people_of(entry, day)
    for duty in entry.list_of(Duty, "work_day_id", day.id):
        count = sum(s.duty_id == duty.id for s in people)
        if count < duty.wanted:
            detail = f"{duty.wanted - count} of {duty.wanted} people are still wanted as {duty}."
            yield {"code": "duty_short", "detail": detail, "where": f"duties/{duty.id}"}


LACKS: list[Callable[[Entry, WorkDay], Iterable[Reason]]] = [
    no_unit,
    not_approved,
    gone,
    unqualified,
    not_of_age,
    short,
    unlawful,
]
"""What looks for something that a day lacks: each decides itself whether it bears on a day with or without herbicide.

What it looks at is loaded for all days of an entry together: by ``LOOKED_AT`` here, or by the rows of the verbs."""


# -- what they look at, read once for all days of an entry -----------------------------------------


def members_of_days(entry: Entry, wishes: list[Any]) -> None:
    """Read who is signed up for these days."""
    entry.load(Member, _people(entry), lock=False)


def credentials_of_days(entry: Entry, wishes: list[Any]) -> None:
    """Read the credentials of who is signed up for these days."""
    entry.load_lists(Credential, "holder_id", _people(entry))


def details_of_days(entry: Entry, wishes: list[Any]) -> None:
    """Read the ages of who is signed up for these days."""
    entry.load_lists(PersonalDetails, "member_id", _people(entry))


def consents_of_days(entry: Entry, wishes: list[Any]) -> None:
    """Read the consents of who is signed up for these days."""
    entry.load_lists(Consent, "member_id", _people(entry))


def lands_of_days(entry: Entry, wishes: list[Any]) -> None:
    """Read the lands of these days: a credential may be good on some only, and a refusal names the land."""
    entry.load(Property, {day.property_id for day in entry.known(WorkDay).values()}, lock=False)


def _people(entry: Entry) -> set[UUID]:
    days = [day for day in entry.known(WorkDay).values() if entry.has_list(SignUp, "work_day_id", day)]
    return {s.member_id for day in days for s in entry.list_of(SignUp, "work_day_id", day.id) if not s.withdrawn_at}


OF_PEOPLE: tuple[Survey, ...] = (
    members_of_days,
    credentials_of_days,
    lands_of_days,
    details_of_days,
    consents_of_days,
)
"""For every verb that asks who may take a place on a day."""

LOOKED_AT: tuple[Survey, ...] = (*OF_PEOPLE, tasks_of_days)
"""For every verb that asks what a day lacks."""
