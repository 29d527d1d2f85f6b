"""When something comes back: recurrence rules, read and expanded on the wall clock of a place.

A rule is reckoned on naive local times, and the zone is put to them afterwards, so that a series at 9 in the morning
stays at 9 in the morning when summer time begins. Source: RFC 5545 (Internet Calendaring and Scheduling Core Object
Specification), sections 3.3.5 (local times that do not exist or come twice), 3.3.10 (what a rule may say) and 3.8.5.3
(the set that follows from it). The expansion itself is that of dateutil.
"""

from collections.abc import Collection, Iterator
from dataclasses import replace
from datetime import MAXYEAR, UTC, datetime, timedelta, tzinfo
from itertools import islice, takewhile

from dateutil.rrule import rrule

from stewardship.rules.dates import DateOutOfRange
from stewardship.rules.recurrence_texts import FINER_THAN_A_DAY, FREQUENCIES, WEEKDAYS, Rule, RuleUnreadable, read_rule
from stewardship.rules.refusals import RuleViolation

__all__ = ["RuleUnreadable", "at_local", "day_occurrences", "occurrences", "read_rule"]

MOST = 1000
"""Occurrences of one expansion, unless the caller says less."""

YEARS_AT_MOST = 50
"""How far from its first time a rule is followed."""

CYCLE_YEARS = 400
"""After so many years the calendar repeats itself to the day, weekdays and week numbers too."""


class RuleWithoutEnd(RuleViolation):
    """A rule that goes on for ever, asked for without a last day."""

    code = "rule_without_end"
    message = "This repeats for ever. Say on which day it ends, or how many times it comes."
    where = "rule"


class RuleEndsBeforeItBegins(RuleViolation):
    """A rule whose last moment comes before its first."""

    code = "rule_ends_before_it_begins"
    message = "This ends before its first day, {first_on}."
    where = "rule"


class TooManyOccurrences(RuleViolation):
    """A rule that makes more than anybody can want at once."""

    code = "too_many_occurrences"
    message = "This makes more than {most} occurrences. End it earlier, or let it come less often."
    where = "rule"


class RuleTooLong(RuleViolation):
    """A rule that is not over within the years for which one is followed."""

    code = "rule_too_long"
    message = "This is not over within {years} years. End it earlier."
    where = "rule"


class RuleFinerThanADay(RuleViolation):
    """A rule that comes more than once on a day, where days are wanted."""

    code = "rule_finer_than_a_day"
    message = (
        "A work day comes at most once a day. Repeat it by days, weeks, months or years, without hours or minutes."
    )
    where = "rule"


class UntilWithoutZone(RuleViolation):
    """A rule that ends at a moment of UTC, where nobody says by which clock the days are told."""

    code = "until_without_zone"
    message = "This ends at a moment in UTC, and it is not known by which clock its days are told. Write a local date."
    where = "rule"


def occurrences(
    rule_text: str,
    first_local: datetime,
    *,
    until_local: datetime | None = None,
    most: int = MOST,
    without: Collection[datetime] = (),
    zone: tzinfo | None = None,
) -> list[datetime]:
    """Return the local times [naive] at which ``rule_text`` comes, beginning with ``first_local``, in order.

    The first one always counts, also where it does not fit the rule (RFC 5545, 3.8.5.3: it defines the first instance).
    Those of ``without`` are left out, and still count in COUNT. ``until_local`` cuts a rule off that goes on longer.
    ``zone`` is needed where UNTIL is a moment of UTC. Raises RuleUnreadable, RuleWithoutEnd, RuleEndsBeforeItBegins,
    UntilWithoutZone, TooManyOccurrences, RuleTooLong.
    """
    return _expanded(read_rule(rule_text), first_local, until_local, most, without, zone)


def day_occurrences(
    rule_text: str,
    first_local: datetime,
    *,
    until_local: datetime | None = None,
    most: int = MOST,
    without: Collection[datetime] = (),
    zone: tzinfo | None = None,
) -> list[datetime]:
    """Return the same as ``occurrences`` for a rule that comes at most once a day. Raises RuleFinerThanADay too."""
    rule = read_rule(rule_text)
    if rule.freq in FINER_THAN_A_DAY or rule.hours or rule.minutes or rule.seconds:
        raise RuleFinerThanADay
    return _expanded(rule, first_local, until_local, most, without, zone)


def at_local(naive: datetime, zone: tzinfo) -> datetime:
    """Return the moment that the wall clock of ``zone`` shows as ``naive``, with the offset that holds then.

    Where the clock shows it twice it is the first; where it never does, the offset before the gap holds: 02:30 on the
    morning on which summer time begins is 03:30 (RFC 5545, 3.3.5). Raises DateOutOfRange.
    """
    if naive.tzinfo is not None:
        raise ValueError("a local time is told without a zone")
    try:
        return naive.replace(tzinfo=zone, fold=0).astimezone(UTC).astimezone(zone)
    except OverflowError as beyond:
        raise DateOutOfRange from beyond


def _expanded(
    rule: Rule,
    first: datetime,
    until_local: datetime | None,
    most: int,
    without: Collection[datetime],
    zone: tzinfo | None,
) -> list[datetime]:
    if rule.count is None and rule.until is None and until_local is None:
        raise RuleWithoutEnd
    if not _within(first, rule, until_local, zone):
        raise RuleEndsBeforeItBegins(first_on=first.date())
    coming = takewhile(lambda local: _within(local, rule, until_local, zone), _from_the_first(rule, first))
    found = list(islice(coming, min(rule.count or most + 1, most + 1)))
    if len(found) > most:
        raise TooManyOccurrences(most=most)
    left_out = set(without)
    return [local for local in found if local not in left_out]


def _within(local: datetime, rule: Rule, until_local: datetime | None, zone: tzinfo | None) -> bool:
    """Tell whether a time is not beyond the ends that were set; both ends belong to it."""
    if until_local is not None and local > until_local:
        return False
    if rule.until is None or rule.until.tzinfo is None:
        return rule.until is None or local <= rule.until
    if zone is None:
        raise UntilWithoutZone
    return at_local(local, zone) <= rule.until


def _from_the_first(rule: Rule, first: datetime) -> Iterator[datetime]:
    """Yield the first time, then those of the rule after it. Raises RuleTooLong, RuleUnreadable."""
    yield first
    try:
        for local in _pattern(rule, first):
            if local.year > first.year + YEARS_AT_MOST:
                raise RuleTooLong(years=YEARS_AT_MOST)
            if local > first:
                yield local
    except (ValueError, OverflowError) as never:
        raise RuleUnreadable(fault="it never comes at all") from never
    if rule.count is not None:
        raise RuleTooLong(years=YEARS_AT_MOST)


def _pattern(rule: Rule, first: datetime) -> Iterator[datetime]:
    """Yield what the rule's parts alone make, from the period of the first time on.

    Two readings of the RFC are settled here for dateutil: a week number without a weekday takes that of the first time
    (3.3.10: what is missing comes from DTSTART), and BYSETPOS counts in the whole of the first week, also before it.
    """
    if not rule.weekdays and (rule.week_numbers or rule.freq == "WEEKLY") and not (rule.month_days or rule.year_days):
        rule = replace(rule, weekdays=((first.weekday(), None),))
    begins = first
    if rule.freq == "WEEKLY" and rule.positions:
        begins -= timedelta(days=(first.weekday() - rule.week_start) % 7)
    years = _years_to_the_last_cycle(begins)
    for later in _by_dateutil(rule, begins.replace(year=begins.year + years)):
        yield later.replace(year=later.year - years)


def _years_to_the_last_cycle(begins: datetime) -> int:
    """Return how many years, in whole cycles, a rule is moved ahead before it is expanded.

    dateutil looks for the next occurrence up to the year 9999. Begun near it, a rule that never comes ends soon.
    """
    return (MAXYEAR - YEARS_AT_MOST - 1 - begins.year) // CYCLE_YEARS * CYCLE_YEARS


def _by_dateutil(rule: Rule, begins: datetime) -> Iterator[datetime]:
    return iter(
        rrule(
            FREQUENCIES[rule.freq],
            dtstart=begins,
            interval=rule.interval,
            wkst=rule.week_start,
            bysetpos=rule.positions or None,
            bymonth=rule.months or None,
            bymonthday=rule.month_days or None,
            byyearday=rule.year_days or None,
            byweekno=rule.week_numbers or None,
            byweekday=[WEEKDAYS[day](n) if n else WEEKDAYS[day] for day, n in rule.weekdays] or None,
            byhour=rule.hours or None,
            byminute=rule.minutes or None,
            bysecond=rule.seconds or None,
        )
    )
