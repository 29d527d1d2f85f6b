"""Validity against an oracle of another kind: it goes through the calendar day by day and adds no years or months."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stewardship.rules.dates import local_date
from stewardship.rules.validity import CredentialDates, Suspension, ValidityRule, last_day, status_on

A_DAY = timedelta(days=1)


def walk(start):
    while True:
        yield start
        start += A_DAY


def is_within_months(day, issued_on, months):
    """Tell whether the ``months``-th return of the day of the month has not gone by before ``day``."""
    begun = (day.year - issued_on.year) * 12 + day.month - issued_on.month
    return begun < months or (begun == months and day.day <= issued_on.day)


def walked_last_day(rule, issued_on):
    if rule.kind == "rolling":
        months = rule.years * 12 + rule.months
        return next(day for day in walk(issued_on) if not is_within_months(day + A_DAY, issued_on, months))
    month, day_of_month = (12, 31) if rule.kind == "end_of_year" else (rule.month, rule.day)
    leap_day = (month, day_of_month) == (2, 29)
    for day in walk(issued_on):
        is_the_day = (day.month, day.day) == (month, day_of_month)
        is_its_stand_in = leap_day and (day.month, day.day) == (2, 28) and (day + A_DAY).day == 1
        if (is_the_day or is_its_stand_in) and day.year - issued_on.year >= rule.years:
            return day


def walked_status(dates, on):
    """Go through the days from the earliest date to ``on``, changing state as the dates come by."""
    if dates.issued_on is None or dates.received_on is None:
        return "pending"
    is_issued = is_received = False
    grace_left, state = dates.grace_days, "pending"
    suspended = set().union(*(suspended_days(suspension) for suspension in dates.suspensions))
    for day in walk(min(dates.issued_on, dates.received_on, on)):
        is_issued, is_received = is_issued or day == dates.issued_on, is_received or day == dates.received_on
        over = dates.last_on is not None and day > dates.last_on
        if over:
            grace_left -= 1
        in_force = "valid" if not over else "grace" if grace_left >= 0 else "expired"
        if in_force != "expired" and day in suspended:
            in_force = "suspended"
        state = in_force if is_issued and is_received else "pending"
        if day == on:
            return state


def suspended_days(suspension):
    last_on = suspension.last_on or suspension.first_on + timedelta(days=2000)
    return {suspension.first_on + timedelta(days=n) for n in range((last_on - suspension.first_on).days + 1)}


ISSUES = st.dates(date(2019, 1, 1), date(2033, 12, 31)) | st.sampled_from([date(2024, 2, 29), date(2024, 12, 31)])
MONTH_DAYS = st.dates(date(2024, 1, 1), date(2024, 12, 31)) | st.just(date(2024, 2, 29))
RULES = st.one_of(
    st.builds(ValidityRule, kind=st.just("rolling"), years=st.integers(0, 5), months=st.integers(1, 30)),
    st.builds(ValidityRule, kind=st.just("end_of_year"), years=st.integers(0, 5)),
    st.builds(
        lambda years, on: ValidityRule(kind="fixed_day", years=years, month=on.month, day=on.day),
        st.integers(0, 5),
        MONTH_DAYS,
    ),
)


@settings(max_examples=1500, deadline=None)
@given(rule=RULES, issued_on=ISSUES)
def test_the_last_day_agrees_with_a_walk_through_the_calendar(rule, issued_on):
    assert last_day(rule, issued_on=issued_on) == walked_last_day(rule, issued_on)


@st.composite
def credentials(draw):
    issued_on = draw(ISSUES)
    soon = st.integers(0, 500).map(lambda days: issued_on + timedelta(days=days))
    around = st.integers(-40, 200).map(lambda days: issued_on + timedelta(days=days))
    suspensions = st.lists(
        st.builds(
            lambda first_on, days: Suspension(first_on, None if days is None else first_on + timedelta(days=days)),
            soon,
            st.none() | st.integers(0, 90),
        ),
        max_size=2,
    )
    return CredentialDates(
        issued_on=draw(st.just(issued_on) | st.none()),
        received_on=draw(around | st.none()),
        last_on=draw(soon | st.none()),
        grace_days=draw(st.sampled_from([0, 1, 30, 60])),
        suspensions=tuple(draw(suspensions)),
    )


@settings(max_examples=1000, deadline=None)
@given(dates=credentials(), base=ISSUES, days=st.integers(-60, 700))
def test_the_status_agrees_with_a_walk_through_the_calendar(dates, base, days):
    on = (dates.issued_on or base) + timedelta(days=days)

    assert status_on(dates, on) == walked_status(dates, on)


# Summer time in the United States: 15 U.S.C. 260a as amended in 2005 (from memory): from the second Sunday in March to
# the first Sunday in November, at two o'clock in the morning by the clock that ends. Hawaii and Arizona keep none.
ZONES = {
    "America/New_York": (-5, True),
    "America/Chicago": (-6, True),
    "America/Denver": (-7, True),
    "America/Phoenix": (-7, False),
    "America/Los_Angeles": (-8, True),
    "Pacific/Honolulu": (-10, False),
}


def sunday(year, month, nth):
    first = datetime(year, month, 1, tzinfo=UTC)
    return next(day for day in walk(first) if day.weekday() == 6) + timedelta(days=7 * (nth - 1))


def ruled_date(moment, hours, keeps_summer_time):
    begins = sunday(moment.year, 3, 2) + timedelta(hours=2 - hours)
    ends = sunday(moment.year, 11, 1) + timedelta(hours=1 - hours)
    summer = keeps_summer_time and begins <= moment < ends
    return (moment + timedelta(hours=hours + summer)).date()


def wrong_answers(days_apart):
    """Count days x zones x moments at which a credential is judged otherwise than by the statute, and all of them."""
    wrong = total = 0
    for zone_name, (hours, keeps_summer_time) in ZONES.items():
        zone = ZoneInfo(zone_name)
        for number in range(0, (date(2036, 12, 30) - date(2008, 1, 2)).days, days_apart):
            last_on = date(2008, 1, 2) + timedelta(days=number)
            dates = CredentialDates(issued_on=date(2007, 1, 1), received_on=date(2007, 1, 1), last_on=last_on)
            midnight = datetime.combine(last_on + A_DAY, time(), tzinfo=UTC) - timedelta(hours=hours)
            for seconds in (-3601, -3600, -1, 0):
                moment = midnight + timedelta(seconds=seconds)
                expected = "valid" if ruled_date(moment, hours, keeps_summer_time) <= last_on else "expired"
                wrong += status_on(dates, local_date(moment, zone)) != expected
                total += 1
    return wrong, total


def test_a_credential_is_judged_by_the_local_date_of_the_work_in_every_zone():
    wrong, total = wrong_answers(days_apart=37)

    assert (wrong, total > 6_000) == (0, True)


@pytest.mark.heavy
def test_a_credential_is_judged_by_the_local_date_on_every_day_of_29_years():
    wrong, total = wrong_answers(days_apart=1)

    assert (wrong, total > 100_000) == (0, True)
