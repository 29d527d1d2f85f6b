"""Who signed up for a day, or waits for a place, is told when it changes."""

from collections.abc import Mapping
from typing import Any

from stewardship.journal.book import Entry
from stewardship.notices import services as notices
from stewardship.notices.rounds import said
from stewardship.workdays.models import SignUp, WorkDay

TOLD_STATES = frozenset({"open", "confirmed"})
"""While people may have signed up and the day has not begun."""

TOLD = ("on_date", "starts_at", "ends_at", "meeting_point")
"""What nobody may miss when it changes."""


def when(day: WorkDay) -> str:
    """Return date and time by the clock of the place: Thursday 1 July 2027, 09:00 to 12:30."""
    return _when(day, vars(day))


def _when(day: WorkDay, told: Mapping[str, Any]) -> str:
    hours = " to ".join(f"{told[name].astimezone(day.zone()):%H:%M}" for name in ("starts_at", "ends_at") if told[name])
    return f"{said(told['on_date'])}, {hours}" if hours else said(told["on_date"])


def tell_cancelled(entry: Entry, day: WorkDay, words: str) -> None:
    """Tell that the day does not take place, why, and what else was said."""
    text = f"{day.title} does not take place on {when(day)}. Reason: {sentence(entry.cause.reason)}"
    _tell(entry, day, "day_cancelled", f"Cancelled: {day.title} on {said(day.on_date)}", text, words)


def tell_postponed(entry: Entry, day: WorkDay, was: str, words: str) -> None:
    """Tell on which date the day takes place now; who cannot come then withdraws."""
    text = (
        f"{day.title} was planned for {was}. It now takes place on {when(day)}. Reason:"
        f" {sentence(entry.cause.reason)} Your sign-up stands: if you cannot come then, please withdraw, so that"
        " somebody else can."
    )
    _tell(entry, day, "day_changed", f"Postponed to {said(day.on_date)}: {day.title}", text, words)


def tell_changed(entry: Entry, day: WorkDay, before: Mapping[str, Any]) -> None:
    """Tell a change of date, time or meeting point of a day that people have signed up for, and what it was."""
    if day.state not in TOLD_STATES or all(getattr(day, name) == before[name] for name in TOLD):
        return
    meet = "" if day.meeting_point == before["meeting_point"] else f" {_where_to_meet(day)}"
    was = _when(day, before)
    planned = "" if was == when(day) else f"{day.title} was planned for {was}. "
    text = f"{planned}{'It now' if planned else day.title} takes place on {when(day)}.{meet}"
    _tell(entry, day, "day_changed", f"Changed: {day.title} on {said(day.on_date)}", text, "")


def _where_to_meet(day: WorkDay) -> str:
    if not day.meeting_point:
        return "Where to meet is not set any more: ask the leader or a coordinator."
    return f"Meeting point: {sentence(day.meeting_point)}"


def sentence(words: str) -> str:
    """Return what somebody wrote with the stop that it may lack."""
    return words if words.endswith((".", "!", "?")) else f"{words}."


def _tell(entry: Entry, day: WorkDay, kind: str, subject: str, text: str, words: str) -> None:
    sign_ups = entry.list_of(SignUp, "work_day_id", day.id)
    members = [s.member_id for s in sign_ups if not s.withdrawn_at and s.member_id != entry.by.member_id]
    key = f"{kind} {day.id} {entry.cause.mid}"
    text = f"{text} {words}" if words else text
    notices.tell(entry, members, kind=kind, key=key, subject=subject, text=text, path=f"/work-days/{day.id}/")
