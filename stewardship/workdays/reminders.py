"""What is told of credentials that end, of the days they are needed on, and of a work day on the day before."""

from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from itertools import takewhile
from uuid import UUID

from django.db.models import Q

from stewardship.credentials.models import Covers, Credential
from stewardship.notices.rounds import Due, Ending, Round, said
from stewardship.rules.dates import local_date
from stewardship.rules.validity import status_on
from stewardship.workdays.models import SignUp, WorkDay
from stewardship.workdays.models.days import HazardKind
from stewardship.workdays.qualification import NEEDS, WITH_HERBICIDE
from stewardship.workdays.services.telling import sentence
from stewardship.workdays.states import PEOPLE_WANTED

AHEAD_HOUR = 9
"""The hour of the day before a work day from which on people are reminded of it."""

Needed = dict[tuple[UUID, str], list[tuple[date, str]]]
"""(member, what credentials are for) -> the days on which that is needed, in order, and for what."""


# -- credentials -----------------------------------------------------------------------------------


def credentials_that_end(round: Round) -> Iterator[Ending]:
    """Give every credential with a last day; two statements."""
    found = Credential.objects.filter(group_id=round.group.id, voided_at=None).order_by("id")
    alike: dict[tuple[UUID, str], list[Credential]] = {}
    for credential in sorted(found, key=_end, reverse=True):
        alike.setdefault((credential.holder_id, credential.covers), []).append(credential)
    needed = _needed(round)
    for its, credentials in alike.items():
        for credential in credentials:
            if credential.expires_on and credential.received_on:
                of_a_kind = [each for each in credentials if _is_of_a_kind(each, credential)]
                yield _ending(round, credential, of_a_kind, needed.get(its, []))


def _is_of_a_kind(other: Credential, credential: Credential) -> bool:
    """Tell whether one may renew the other: one without a type is taken for any that is for the same."""
    return None in (other.type_id, credential.type_id) or other.type_id == credential.type_id


def _end(credential: Credential) -> date:
    """Return its last day; one that never expires ends after all others, one without a day yet before them."""
    return credential.expires_on or (date.max if credential.never_expires else date.min)


def _ending(round: Round, credential: Credential, alike: Iterable[Credential], days: list[tuple[date, str]]) -> Ending:
    """Return when a credential ends; ``alike``: all of its holder and type, the last to end first."""
    last_on = credential.expires_on
    assert last_on
    newer = list(takewhile(lambda each: _end(each) > last_on, alike))
    after = max(last_on + timedelta(days=1), round.today)
    return Ending(
        key=f"credential.{credential.id}",
        member_id=credential.holder_id,
        last_on=last_on,
        name=f"{Covers(credential.covers).label} {credential.number}".strip(),
        what_to_do=_what_to_do(credential, newer),
        is_renewed=any(status_on(each.dates(), after) == "valid" for each in newer),
        needed=next((day for day in days if day[0] > last_on), None),
        path="/",
        coordinators_path=f"/people/{credential.holder_id}/",
    )


def _what_to_do(credential: Credential, newer: list[Credential]) -> str:
    if newer:
        return "A newer one is on record and does not count yet. Tell a coordinator when you have it in hand."
    whom = credential.authority or "whoever issued it"
    return f"Renewing can take weeks: ask {whom} soon, and show a coordinator the new one."


def _needed(round: Round) -> Needed:
    found = SignUp.objects.filter(
        Q(work_day__herbicide_planned=True) | ~Q(duty__name__in=list(WITH_HERBICIDE)),
        group_id=round.group.id, withdrawn_at=None, is_waiting=False, duty__name__in=list(NEEDS),
        work_day__on_date__gte=round.today, work_day__state__in=PEOPLE_WANTED,
    ).select_related("duty", "work_day").order_by("work_day__on_date", "id")  # fmt: skip
    needed: Needed = {}
    for sign_up in found:
        day = sign_up.work_day
        needed.setdefault((sign_up.member_id, NEEDS[sign_up.duty.name]), []).append(
            (day.on_date, f"{sign_up.duty} for “{day.title}”")
        )
    return needed


# -- the day before --------------------------------------------------------------------------------


def days_ahead(round: Round) -> Iterator[Due]:
    """Give what people are told on the day before a work day that they are signed up for; two statements."""
    near = (round.today, round.today + timedelta(days=2))
    days = WorkDay.objects.filter(group_id=round.group.id, on_date__range=near, state__in=PEOPLE_WANTED)
    coming = {day.id: day for day in days.select_related("property", "leader") if _is_ahead(day, round.at)}
    found = SignUp.objects.filter(
        group_id=round.group.id, withdrawn_at=None, is_waiting=False, work_day__in=list(coming)
    )
    sign_ups = list(found.select_related("duty", "member").order_by("id"))
    for sign_up in sign_ups:
        if sign_up.member_id in round.members:
            yield _ahead(coming[sign_up.work_day_id], sign_up, sign_ups)


def _is_ahead(day: WorkDay, at: datetime) -> bool:
    begins = day.starts_at or datetime.combine(day.on_date, time(23, 59), day.zone())
    return _told_from(day) <= at < begins


def _told_from(day: WorkDay) -> datetime:
    return datetime.combine(day.on_date - timedelta(days=1), time(AHEAD_HOUR), day.zone()).astimezone(UTC)


def _ahead(day: WorkDay, sign_up: SignUp, all_sign_ups: list[SignUp]) -> Due:
    subject = f"{said(day.on_date)}: {day.title}"
    parts = [
        f"You are signed up as {sign_up.duty}.",
        _when(day),
        f"Where: {_where(day)}.",
        *(f"{label}: {sentence(text)}" for label, text in _told_of(day) if text),
        _leaders(day, all_sign_ups),
        _weather(day),
        day.notice,
        day.note,
        "Can you not come? Withdraw on the day's page, so that somebody else can take your place.",
    ]
    text = "\n".join(part for part in parts if part)
    key = f"work_day.{day.id}.{day.on_date}.ahead"
    return Due(sign_up.member_id, "day_ahead", key, subject, text, f"/work-days/{day.id}/", _told_from(day))


def _when(day: WorkDay) -> str:
    if day.starts_at is None:
        return "The hour is not set: ask the leader or a coordinator."
    until = f" to {_clock(day, day.ends_at)}" if day.ends_at else ""
    return f"When: {said(local_date(day.starts_at, day.zone()))}, {_clock(day, day.starts_at)}{until}."


def _clock(day: WorkDay, at: datetime) -> str:
    return f"{at.astimezone(day.zone()):%H:%M}"


def _where(day: WorkDay) -> str:
    address = " ".join(day.property.address.split())
    return f"{day.property.name}, {address}" if address else day.property.name


def _told_of(day: WorkDay) -> list[tuple[str, str]]:
    """Return what is told of a day, each under its name."""
    return [
        ("Meeting point", day.meeting_point),
        ("How to get there", day.access),
        ("Wear and bring", day.bring),
        ("Look out for", ", ".join(HazardKind(each["what"]).label for each in day.hazards)),
    ]


def _leaders(day: WorkDay, sign_ups: list[SignUp]) -> str:
    """Return who leads the day and how they are reached, as the day says or as somebody signed up."""
    names = [s.member.display_name for s in sign_ups if s.work_day_id == day.id and s.duty.name == "leader"]
    if day.leader:
        names = [day.leader.display_name]
    reached = f", {day.leader_contact}" if day.leader_contact else ""
    return f"Leader: {' and '.join(names)}{reached}." if names or reached else ""


def _weather(day: WorkDay) -> str:
    if day.weather_decision_at is None:
        return ""
    on = said(local_date(day.weather_decision_at, day.zone()))
    return f"Whether the weather admits it is decided by {on}, {_clock(day, day.weather_decision_at)}."
