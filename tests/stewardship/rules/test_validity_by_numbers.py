"""Validity against an oracle that knows no dates: it counts days by number, and clocks in seconds.

Day numbers: Fliegel and Van Flandern, Communications of the ACM 11(10):657, 1968 (formula from memory). Summer time:
15 U.S.C. 260a as amended in 2005, and Directive 2000/84/EC of the European Union (both from memory).
"""

import random
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from stewardship.rules.dates import local_date
from stewardship.rules.validity import CredentialDates, Suspension, ValidityRule, last_day, status_on

A_DAY_S = 86_400
EPOCH = 2_440_588
"""The number of 1 January 1970."""
MONTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def number(year, month, day):
    """Return the number of a day."""
    a = int((month - 14) / 12)
    march = (1461 * (year + 4800 + a)) // 4 + (367 * (month - 2 - 12 * a)) // 12
    return march - (3 * ((year + 4900 + a) // 100)) // 4 + day - 32075


def calendar_day(n):
    """Return year, month and day of a day's number."""
    left = n + 68569
    century = 4 * left // 146097
    left -= (146097 * century + 3) // 4
    year = 4000 * (left + 1) // 1461001
    left += 31 - 1461 * year // 4
    month = 80 * left // 2447
    return 100 * (century - 49) + year + month // 11, month + 2 - 12 * (month // 11), left - 2447 * month // 80


def length(year, month):
    is_leap = year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
    return 29 if month == 2 and is_leap else MONTHS[month - 1]


def last_number(rule, issued, stated):
    """Return the number of the last day of a credential issued on a day's number; None for no end."""
    kind, years, months, month, day = rule
    if kind in ("none", "stated"):
        return stated if kind == "stated" else None
    year, issue_month, issue_day = calendar_day(issued)
    if kind == "rolling":
        n = year * 12 + issue_month - 1 + years * 12 + months
        return number(n // 12, n % 12 + 1, min(issue_day, length(n // 12, n % 12 + 1)))
    month, day = (12, 31) if kind == "end_of_year" else (month, day)
    found = number(year + years, month, min(day, length(year + years, month)))
    return found if found >= issued else number(year + years + 1, month, min(day, length(year + years + 1, month)))


def worth(case, last, on):
    """Return what a credential is worth on a day's number, from what bounds that day."""
    begun = case.received is not None and on >= max(case.issued, case.received)
    if not begun:
        return "pending"
    if last is not None and on > last + case.grace:
        return "expired"
    if any(first <= on <= (end if end is not None else on) for first, end in case.suspended):
        return "suspended"
    return "valid" if last is None or on <= last else "grace"


# -- clocks ----------------------------------------------------------------------------------------


def sunday(year, month, nth):
    """Return the number of a month's n-th Sunday, or of its last with 0; day 0 of the count was a Monday."""
    if nth == 0:
        last = number(year, month, length(year, month))
        return last - (last + 1) % 7
    first = number(year, month, 1)
    return first + (6 - first % 7) % 7 + 7 * (nth - 1)


def american(year, hours):
    begins = (sunday(year, 3, 2) - EPOCH) * A_DAY_S + (2 - hours) * 3600
    return begins, (sunday(year, 11, 1) - EPOCH) * A_DAY_S + (1 - hours) * 3600


def european(year, hours):
    return tuple((sunday(year, month, 0) - EPOCH) * A_DAY_S + 3600 for month in (3, 10))


ZONES = {
    "America/New_York": (-5, american),
    "America/Chicago": (-6, american),
    "America/Los_Angeles": (-8, american),
    "America/Phoenix": (-7, None),
    "Pacific/Honolulu": (-10, None),
    "Europe/London": (0, european),
}


def day_there(seconds, zone):
    """Return the number of the day that clocks of a zone show at a moment, in seconds since 1970 began in UTC."""
    hours, summer = ZONES[zone]
    year, _, _ = calendar_day(seconds // A_DAY_S + EPOCH)
    begins, ends = summer(year, hours) if summer else (0, 0)
    return (seconds + hours * 3600 + 3600 * (begins <= seconds < ends)) // A_DAY_S + EPOCH


# -- cases -----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Case:
    rule: tuple
    issued: int
    received: int | None
    stated: int
    grace: int
    suspended: tuple
    zone: str
    seconds: int


KINDS = ("rolling", "fixed_day", "end_of_year", "stated", "none")


def some_rule(draw):
    kind = draw.choice(KINDS)
    month = draw.choice((1, 2, 2, 3, 6, 12, draw.randint(1, 12)))
    day = draw.choice((1, length(2024, month), draw.randint(1, length(2024, month))))
    years = draw.randint(0, 5)
    return kind, years, draw.choice((0, 1, 6, 18)) if years else draw.choice((1, 6, 13, 24)), month, day


def some_case(draw):
    year = draw.randint(2008, 2034)
    place = draw.choice(((2, length(year, 2)), (12, 31), (1, 1), (6, 30), (draw.randint(1, 12), draw.randint(1, 28))))
    issued = number(year, *place)
    rule, stated = some_rule(draw), issued + draw.randint(0, 1500)
    suspended = tuple(
        (first, draw.choice((None, first, first + draw.randint(0, 90))))
        for first in [issued + draw.randint(-30, 900) for _ in range(draw.choice((0, 0, 1, 2)))]
    )
    grace = draw.choice((0, 0, 1, 30, 60, 366))
    received = draw.choice((None, issued, issued, issued + draw.randint(-20, 400)))
    edges = [issued, received or issued, last_number(rule, issued, stated) or stated]
    edges += [edges[2] + grace, *(first for first, _ in suspended), *(end for _, end in suspended if end)]
    zone = draw.choice(tuple(ZONES))
    return Case(rule, issued, received, stated, grace, suspended, zone, some_moment(draw, draw.choice(edges), zone))


def some_moment(draw, edge, zone):
    """Return a moment near the midnights around a day, or near the hour at which clocks change in that year."""
    hours, summer = ZONES[zone]
    off = draw.choice((-3601, -3600, -1, 0, 1, 3599, 3600, 7200, draw.randint(-A_DAY_S, A_DAY_S)))
    if summer and draw.random() < 0.3:
        return draw.choice(summer(calendar_day(edge)[0], hours)) + off
    return (edge + draw.choice((-1, 0, 1, 2)) - EPOCH) * A_DAY_S - hours * 3600 + off


def as_date(n):
    return None if n is None else date(*calendar_day(n))


def disagreements(cases, seed):
    """Judge cases by the rules and by the numbers; return those on which they differ, and what was met."""
    draw, wrong, met = random.Random(seed), [], set()
    for _ in range(cases):
        case = some_case(draw)
        kind, years, months, month, day = case.rule
        rule = ValidityRule(kind=kind, years=years, months=months, month=month, day=day)
        last_on = last_day(rule, issued_on=as_date(case.issued), stated_last_on=as_date(case.stated))
        last = last_number(case.rule, case.issued, case.stated)
        dates = CredentialDates(
            issued_on=as_date(case.issued), received_on=as_date(case.received), last_on=last_on, grace_days=case.grace,
            suspensions=tuple(Suspension(as_date(first), as_date(end)) for first, end in case.suspended),
        )  # fmt: skip
        moment = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=case.seconds)
        expected = worth(case, last, day_there(case.seconds, case.zone))
        told = status_on(dates, local_date(moment, ZoneInfo(case.zone)))
        met.add((kind, expected))
        if (last_on, told) != (as_date(last), expected):
            wrong.append((case, last_on, told, expected))
    return wrong, met


def test_day_numbers_are_those_of_the_calendar():
    assert number(1970, 1, 1) == EPOCH
    assert [calendar_day(number(2000, 2, 29) + n) for n in (0, 1)] == [(2000, 2, 29), (2000, 3, 1)]
    assert calendar_day(number(2100, 2, 28) + 1) == (2100, 3, 1)


def test_a_generated_credential_is_judged_alike_by_the_rules_and_by_day_numbers():
    wrong, met = disagreements(10_000, seed=2027)

    assert wrong == []
    assert met == {(kind, worth) for kind in KINDS for worth in ("pending", "valid", "suspended")} | {
        (kind, worth) for kind in KINDS[:-1] for worth in ("grace", "expired")
    }


@pytest.mark.heavy
def test_100_000_generated_credentials_are_judged_alike():
    wrong, _ = disagreements(100_000, seed=20_270_701)

    assert wrong == []
