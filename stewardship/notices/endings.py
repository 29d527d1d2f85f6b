"""Reminders of what ends: at each lead once, then to a second coordinator.

A lead is due from its day on until the next one's. Of leads that were missed the nearest alone is told, since it says
what the others would have said; after the last day it says that it has ended. Nothing is told of a lead that lies
further off than one that was told: a clock that is set back repeats nothing.
"""

from collections.abc import Iterable, Iterator
from datetime import timedelta
from typing import NamedTuple
from uuid import UUID

from stewardship.accounts.models.groups import LEADS
from stewardship.notices.models import Notice
from stewardship.notices.rounds import Due, Ending, Round, listed, said

NEWS_DAYS = 30
"""For how many days after its end something is told that could not be told in time."""


class Told(NamedTuple):
    """What was told already of the endings of a round."""

    keys: set[str]
    nearest: dict[tuple[UUID, str], int]
    """(member, ending's key) -> the nearest lead told."""


def reminders(round: Round, endings: Iterable[Ending]) -> Iterator[Due]:
    """Give what is to be told of these endings now; one statement."""
    near = [e for e in endings if not e.is_renewed and e.member_id in round.members and _is_near(round, e)]
    told = _told(round, near)
    for ending in near:
        yield from _of_the_holder(round, ending, told)
        yield from _of_the_coordinators(round, ending, told)
        yield from _escalation(round, ending, told)


def key_of(ending: Ending, lead: int | str) -> str:
    """Return under which key a lead is told: of this thing, with this last day."""
    return f"{_stem(ending)}.{lead}"


def _stem(ending: Ending) -> str:
    return f"{ending.key}.{ending.last_on}"


def _is_near(round: Round, ending: Ending) -> bool:
    return -NEWS_DAYS <= _days_left(round, ending) <= max(LEADS)


def _days_left(round: Round, ending: Ending) -> int:
    return (ending.last_on - round.today).days


def _told(round: Round, endings: list[Ending]) -> Told:
    stem_and_lead = {key_of(e, lead): (_stem(e), lead) for e in endings for lead in LEADS}
    escalated = {key_of(e, "escalated") for e in endings}
    since = round.at - timedelta(days=max(LEADS) + 2 * NEWS_DAYS)
    found = Notice.objects.filter(
        group_id=round.group.id, kind__in=("reminder", "escalation"), due_at__gte=since
    ).values_list("member_id", "key")
    nearest: dict[tuple[UUID, str], int] = {}
    keys = set()
    for member_id, key in found:
        if key in escalated:
            keys.add(key)
        elif key in stem_and_lead:
            stem, lead = stem_and_lead[key]
            nearest[member_id, stem] = min(lead, nearest.get((member_id, stem), lead))
    return Told(keys, nearest)


def _lead(leads: Iterable[int], days_left: int) -> int | None:
    """Return the nearest lead whose day has come."""
    return min((lead for lead in leads if lead >= days_left), default=None)


def _of_the_holder(round: Round, ending: Ending, told: Told) -> Iterator[Due]:
    subject = f"Your {ending.name} {_ends(round, ending)}"
    parts = [_last_day(round, ending), _needed(ending, "you are"), ending.what_to_do]
    yield from _reminder(round, ending, told, ending.member_id, subject, parts)


def _of_the_coordinators(round: Round, ending: Ending, told: Told) -> Iterator[Due]:
    name = round.members[ending.member_id].display_name
    subject = f"{name}: {ending.name} {_ends(round, ending)}"
    needed = _needed(ending, f"{name} is")
    parts = [_last_day(round, ending), needed, "Once there is a new one, enter it: then nobody is reminded."]
    for coordinator in round.coordinators:
        if coordinator.id != ending.member_id:
            yield from _reminder(round, ending, told, coordinator.id, subject, parts)


def _reminder(
    round: Round, ending: Ending, told: Told, member_id: UUID, subject: str, parts: list[str]
) -> Iterator[Due]:
    is_holder = member_id == ending.member_id
    leads = round.lead_days(member_id) if is_holder else round.group.lead_days
    lead = _lead(leads, _days_left(round, ending))
    if lead is None or told.nearest.get((member_id, _stem(ending)), max(LEADS) + 1) <= lead:
        return
    due_at = round.midnight(ending.last_on - timedelta(days=lead))
    path = ending.path if is_holder else ending.coordinators_path
    yield Due(member_id, "reminder", key_of(ending, lead), subject, _text(parts), path, due_at)


def _escalation(round: Round, ending: Ending, told: Told) -> Iterator[Due]:
    """Give what comes to a second coordinator, once, to whoever that is then."""
    days_over, key = -_days_left(round, ending), key_of(ending, "escalated")
    second = round.second(ending.member_id)
    if days_over < round.group.escalate_after_days or key in told.keys or second is None:
        return
    holder = round.members[ending.member_id].display_name
    subject = f"Nobody has acted: {holder}'s {ending.name} ended on {said(ending.last_on)}"
    parts = [
        f"No newer one is on record. {_who_was_reminded(round, holder)}",
        _needed(ending, f"{holder} is"),
        f"Please ask {holder}, and enter the new one, or find somebody else for what it is needed for.",
    ]
    due_at = round.midnight(ending.last_on + timedelta(days=round.group.escalate_after_days))
    yield Due(second.id, "escalation", key, subject, _text(parts), ending.coordinators_path, due_at)


def _who_was_reminded(round: Round, holder: str) -> str:
    names = [member.display_name for member in round.coordinators if member.display_name != holder]
    return f"Reminders went to {listed([holder, *names[:2], *(['others'] if names[2:] else [])])}."


def _ends(round: Round, ending: Ending) -> str:
    left = _days_left(round, ending)
    if left < 0:
        return f"ended on {said(ending.last_on)}"
    return f"ends today, {said(ending.last_on)}" if left == 0 else f"ends on {said(ending.last_on)}"


def _last_day(round: Round, ending: Ending) -> str:
    if _days_left(round, ending) < 0:
        return f"It counted up to and with {said(ending.last_on)}, and counts no longer."
    return f"It counts up to and with {said(ending.last_on)}."


def _needed(ending: Ending, who_is: str) -> str:
    """Return for what a member is expected after its last day."""
    if ending.needed is None:
        return ""
    on, what = ending.needed
    return f"It ends before {said(on)}, when {who_is} signed up as {what}."


def _text(parts: Iterable[str]) -> str:
    return "\n".join(part for part in parts if part)
