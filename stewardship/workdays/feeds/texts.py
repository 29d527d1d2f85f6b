"""The text of a calendar: RFC 5545, and RFC 7986 for its name, identity and how often to look again.

Times are told in UTC: each work day is an event of its own, so no zone rules travel along that could be older than
ours. The same days make the same bytes. Nobody but the reader is named in it, since calendars are handed on to others.
"""

import re
from collections.abc import Callable, Iterable
from datetime import UTC, timedelta
from uuid import UUID

from icalendar import Calendar, Event, vText

from stewardship.workdays.feeds.days import Entered
from stewardship.workdays.models import CalendarFeed, SignUp
from stewardship.workdays.states import State

MAKER = "-//Stewardship service//Work days//EN"
LOOK_AGAIN = timedelta(hours=1)
LONGEST_TEXT = 20_000

STATUS = {State.OPEN: "TENTATIVE", State.CANCELLED: "CANCELLED"}
"""State -> how firm the event is; any other is CONFIRMED."""

WITH_HERBICIDE = (
    "Herbicide is planned. The label is the law: wear what it demands for your task. "
    "Mixing asks for more than applying."
)

_BREAKS = re.compile("\r\n|[\r\x0b\x0c\x85\u2028\u2029]")
_CONTROLS = re.compile("[\x00-\x08\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff]")


def calendar_text(feed: CalendarFeed, days: Iterable[Entered], page_of: Callable[[UUID], str]) -> bytes:
    """Return the calendar of a feed as it is sent; ``page_of`` gives the address of a work day's page."""
    calendar = Calendar()
    calendar.add("prodid", MAKER)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("uid", str(feed.id))
    calendar.add("name", vText(plain(f"Work days, {feed.member.group.name}")))  # else it would not be escaped
    calendar.add("refresh-interval", LOOK_AGAIN, parameters={"VALUE": "DURATION"})
    for entered in days:
        calendar.add_component(_event(entered, page_of(entered.day.id)))
    return bytes(calendar.to_ical())


def _event(entered: Entered, page: str) -> Event:
    day, event = entered.day, Event()
    event.add("uid", str(day.id))
    event.add("sequence", entered.sequence)
    event.add("dtstamp", entered.changed_at.astimezone(UTC).replace(microsecond=0))
    event.add("last-modified", entered.changed_at.astimezone(UTC).replace(microsecond=0))
    _add_times(event, entered)
    event.add("summary", plain(_summary(entered)))
    event.add("location", plain(", ".join(filter(None, [day.property.name, day.meeting_point]))))
    event.add("description", plain(_description(entered)))
    event.add("status", _status(entered))
    event.add("transp", "OPAQUE" if _takes_time(entered) else "TRANSPARENT")
    event.add("url", page)
    return event


def _add_times(event: Event, entered: Entered) -> None:
    """Tell when it is; a day without a time of beginning is a whole day."""
    day = entered.day
    if day.starts_at is None:
        event.add("dtstart", day.on_date)
        event.add("dtend", day.on_date + timedelta(days=1))
        return
    event.add("dtstart", day.starts_at.astimezone(UTC))
    if day.ends_at is not None:
        event.add("dtend", day.ends_at.astimezone(UTC))


def _summary(entered: Entered) -> str:
    """Return the title; what a calendar might not show of the state stands before it."""
    return f"Cancelled: {entered.day.title}" if entered.day.state == State.CANCELLED else entered.day.title


def _status(entered: Entered) -> str:
    """Return how firm it is for the reader; whoever waits for a place cannot count on it."""
    told = STATUS.get(State(entered.day.state), "CONFIRMED")
    return "TENTATIVE" if told == "CONFIRMED" and entered.mine and entered.mine.is_waiting else told


def _takes_time(entered: Entered) -> bool:
    return entered.mine is not None and not entered.mine.is_waiting and entered.day.state != State.CANCELLED


def _description(entered: Entered) -> str:
    day = entered.day
    lines = [
        "This work day is cancelled." if day.state == State.CANCELLED else "",
        _duty(entered.mine) if entered.mine else "",
        *_said("What to know now", day.notice),
        *_said("Meeting point", day.meeting_point),
        *_said("Getting there", day.access),
        *_said("Wear and bring", day.bring),
        *_said("Besides", day.note),
        WITH_HERBICIDE if day.herbicide_planned else "",
    ]
    return "\n".join(line for line in lines if line)


def _duty(mine: SignUp) -> str:
    if mine.is_waiting:
        return f"You are on the waiting list as {mine.duty}: there is no place for you yet."
    return f"Your duty: {mine.duty}"


def _said(of: str, text: str) -> list[str]:
    return [f"{of}: {text}"] if text else []


def plain(text: str) -> str:
    """Return a text as a calendar may hold it: line breaks of one kind, no other control characters, not endless."""
    return _CONTROLS.sub("", _BREAKS.sub("\n", text))[:LONGEST_TEXT]
