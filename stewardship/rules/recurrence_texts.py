"""The text of a recurrence rule, read strictly: what RFC 5545, section 3.3.10, does not admit is refused, not guessed.

A part that a reader would drop or read in its own way is worse than a refusal: the series would come on other days than
the person meant.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, time
from typing import Any, Literal

from dateutil import rrule

from stewardship.rules.refusals import RuleViolation

FREQUENCIES: dict[str, Literal[0, 1, 2, 3, 4, 5, 6]] = {
    "SECONDLY": rrule.SECONDLY,
    "MINUTELY": rrule.MINUTELY,
    "HOURLY": rrule.HOURLY,
    "DAILY": rrule.DAILY,
    "WEEKLY": rrule.WEEKLY,
    "MONTHLY": rrule.MONTHLY,
    "YEARLY": rrule.YEARLY,
}
WEEKDAYS = (rrule.MO, rrule.TU, rrule.WE, rrule.TH, rrule.FR, rrule.SA, rrule.SU)

FINER_THAN_A_DAY = frozenset({"SECONDLY", "MINUTELY", "HOURLY"})

LONGEST_TEXT = 500
MOST_COUNT = 100_000
_DAY_NAMES = {str(day): day.weekday for day in WEEKDAYS}
_BY_DAY = re.compile(r"([+-]?\d{1,2})?(MO|TU|WE|TH|FR|SA|SU)", re.ASCII)
_WHOLE = re.compile(r"[+-]?\d{1,6}", re.ASCII)
_UNTIL = re.compile(r"(\d{8})(?:T(\d{6})(Z?))?", re.ASCII)


class RuleUnreadable(RuleViolation):
    """A recurrence rule that RFC 5545 does not admit."""

    code = "rule_unreadable"
    message = "This is not a rule that something can repeat by: {fault}."
    where = "rule"


class CountAndUntil(RuleViolation):
    """A rule that has two ends."""

    code = "count_and_until"
    message = "This says both how many times it comes and until when. Leave out one of the two."
    where = "rule"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A recurrence rule as read. ``weekdays``: (0 for Monday … 6, which one of its month or year or None for each).

    ``until`` is the last moment that belongs to it: naive and local, or in UTC.
    """

    freq: str
    interval: int = 1
    count: int | None = None
    until: datetime | None = None
    week_start: int = 0
    months: tuple[int, ...] = ()
    week_numbers: tuple[int, ...] = ()
    year_days: tuple[int, ...] = ()
    month_days: tuple[int, ...] = ()
    weekdays: tuple[tuple[int, int | None], ...] = ()
    hours: tuple[int, ...] = ()
    minutes: tuple[int, ...] = ()
    seconds: tuple[int, ...] = ()
    positions: tuple[int, ...] = ()


def read_rule(text: str) -> Rule:
    """Read the text of a rule: "FREQ=WEEKLY;BYDAY=SA;COUNT=8", with or without "RRULE:" before it.

    Raises RuleUnreadable, CountAndUntil.
    """
    parts = _parts(text)
    if "COUNT" in parts and "UNTIL" in parts:
        raise CountAndUntil
    rule = Rule(**dict(_READS[name](name, value) for name, value in parts.items()))
    for stands, fault in _combinations(rule):
        if stands:
            raise RuleUnreadable(fault=fault)
    return rule


def _parts(text: str) -> dict[str, str]:
    bare = text.strip().upper().removeprefix("RRULE:")
    if len(bare) > LONGEST_TEXT:
        raise RuleUnreadable(fault=f"it is longer than {LONGEST_TEXT} characters")
    parts: dict[str, str] = {}
    for part in bare.split(";"):
        name, is_part, value = part.partition("=")
        if not is_part or name not in _READS:
            raise RuleUnreadable(fault=f"“{part}” is no part of such a rule")
        if name in parts:
            raise RuleUnreadable(fault=f"it has {name} twice")
        parts[name] = value
    if "FREQ" not in parts:
        raise RuleUnreadable(fault="it does not say FREQ: by days, weeks, months or years")
    return parts


def _combinations(rule: Rule) -> list[tuple[bool, str]]:
    """Return each combination that the RFC forbids: whether it stands, and what is wrong with it."""
    numbered = any(n is not None for _, n in rule.weekdays)
    by_parts = (
        rule.months, rule.week_numbers, rule.year_days, rule.month_days, rule.weekdays, rule.hours, rule.minutes,
        rule.seconds,
    )  # fmt: skip
    return [
        (
            numbered and rule.freq not in ("MONTHLY", "YEARLY"),
            f"BYDAY with a number, as in 2SA, is for months and years, not for {rule.freq}",
        ),
        (numbered and bool(rule.week_numbers), "BYDAY with a number does not go with BYWEEKNO"),
        (bool(rule.week_numbers) and rule.freq != "YEARLY", "BYWEEKNO is for years only"),
        (
            bool(rule.year_days) and rule.freq in ("DAILY", "WEEKLY", "MONTHLY"),
            f"BYYEARDAY does not go with {rule.freq}",
        ),
        (bool(rule.month_days) and rule.freq == "WEEKLY", "BYMONTHDAY does not go with WEEKLY"),
        (
            bool(rule.positions) and rule.freq in FINER_THAN_A_DAY,
            f"BYSETPOS with {rule.freq} is not understood here",
        ),
        (bool(rule.positions) and not any(by_parts), "BYSETPOS chooses among other BY… parts, and there is none"),
    ]


def _freq(name: str, value: str) -> tuple[str, Any]:
    if value not in FREQUENCIES:
        raise RuleUnreadable(fault=f"FREQ is {' or '.join(FREQUENCIES)}, not “{value}”")
    return "freq", value


def _week_start(name: str, value: str) -> tuple[str, Any]:
    if value not in _DAY_NAMES:
        raise RuleUnreadable(fault=f"WKST is a weekday such as MO, not “{value}”")
    return "week_start", _DAY_NAMES[value]


def _until(name: str, value: str) -> tuple[str, Any]:
    """Read the end. A date alone means the whole of that day (the RFC wants a date only where the start is one)."""
    found = _UNTIL.fullmatch(value)
    try:
        if found is None:
            raise ValueError(value)
        on = datetime.strptime(found[1], "%Y%m%d").date()  # noqa: DTZ007 a local date has no zone
        at = datetime.strptime(found[2], "%H%M%S").time() if found[2] else time.max  # noqa: DTZ007 as above
    except ValueError:
        fault = f"UNTIL is a date such as 20271031 or 20271031T090000Z, not “{value}”"
        raise RuleUnreadable(fault=fault) from None
    return "until", datetime.combine(on, at, UTC if found[3] else None)


def _by_day(name: str, value: str) -> tuple[str, Any]:
    days = []
    for item in value.split(","):
        found = _BY_DAY.fullmatch(item)
        number = int(found[1]) if found and found[1] else None
        if found is None or number == 0 or (number is not None and abs(number) > 53):
            raise RuleUnreadable(fault=f"BYDAY is a list of weekdays such as SA or 2SA or -1SU, not “{value}”")
        days.append((_DAY_NAMES[found[2]], number))
    return "weekdays", tuple(days)


def _one(column: str, most: int) -> Callable[[str, str], tuple[str, Any]]:
    return lambda name, value: (column, _number(name, value, 1, most))


def _list(column: str, least: int, most: int) -> Callable[[str, str], tuple[str, Any]]:
    return lambda name, value: (column, tuple(_number(name, item, least, most) for item in value.split(",")))


def _number(name: str, text: str, least: int, most: int) -> int:
    """Read a whole number in its range; where the least is negative it counts from the end, and 0 is none."""
    if not _WHOLE.fullmatch(text) or not least <= int(text) <= most or (least < 0 and int(text) == 0):
        raise RuleUnreadable(
            fault=f"{name} is a number from {least} to {most}{' but 0' if least < 0 else ''}, not “{text}”"
        )
    return int(text)


def _seconds(name: str, value: str) -> tuple[str, Any]:
    """Read seconds; a leap second is the one before it, as 3.3.5 lets those do that know none."""
    column, seconds = _list("seconds", 0, 60)(name, value)
    return column, tuple(sorted({min(second, 59) for second in seconds}))


_READS: dict[str, Callable[[str, str], tuple[str, Any]]] = {
    "FREQ": _freq,
    "INTERVAL": _one("interval", 1000),
    "COUNT": _one("count", MOST_COUNT),
    "UNTIL": _until,
    "WKST": _week_start,
    "BYMONTH": _list("months", 1, 12),
    "BYWEEKNO": _list("week_numbers", -53, 53),
    "BYYEARDAY": _list("year_days", -366, 366),
    "BYMONTHDAY": _list("month_days", -31, 31),
    "BYDAY": _by_day,
    "BYHOUR": _list("hours", 0, 23),
    "BYMINUTE": _list("minutes", 0, 59),
    "BYSECOND": _seconds,
    "BYSETPOS": _list("positions", -366, 366),
}
