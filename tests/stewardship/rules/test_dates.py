from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from stewardship.rules.dates import (
    DateOutOfRange,
    MomentWithoutZone,
    NoSuchDay,
    add_months,
    add_years,
    day_of_year,
    local_date,
)

SOME_DATES = st.dates(date(1900, 1, 1), date(2200, 12, 31))


@pytest.mark.parametrize(
    ("moment", "zone", "expected"),
    [
        ("2026-07-01T04:59:59Z", "America/Chicago", "2026-06-30"),
        ("2026-07-01T05:00:00Z", "America/Chicago", "2026-07-01"),
        ("2026-01-01T05:59:59Z", "America/Chicago", "2025-12-31"),
        ("2026-01-01T06:00:00Z", "America/Chicago", "2026-01-01"),
        ("2026-06-30T23:59:59-04:00", "America/New_York", "2026-06-30"),
        ("2026-06-30T23:30:00-04:00", "America/Chicago", "2026-06-30"),
        ("2026-07-01T00:30:00-04:00", "America/Chicago", "2026-06-30"),
        ("2026-03-08T04:59:59Z", "America/New_York", "2026-03-07"),
        ("2026-03-09T03:59:59Z", "America/New_York", "2026-03-08"),
        ("2026-03-09T04:00:00Z", "America/New_York", "2026-03-09"),
        ("2026-11-02T04:59:59Z", "America/New_York", "2026-11-01"),
        ("2026-11-02T05:00:00Z", "America/New_York", "2026-11-02"),
        ("2026-10-03T13:30:00Z", "Australia/Lord_Howe", "2026-10-04"),
        ("2011-12-30T10:00:00Z", "Pacific/Apia", "2011-12-31"),
    ],
)
def test_a_moment_has_the_date_that_the_calendar_of_its_place_shows(moment, zone, expected):
    assert local_date(datetime.fromisoformat(moment), ZoneInfo(zone)) == date.fromisoformat(expected)


FROM_2007 = datetime(2007, 1, 2, tzinfo=UTC)


@given(seconds=st.integers(0, 30 * 365 * 86_400), minutes=st.integers(-840, 840))
def test_the_offset_in_which_a_moment_was_written_does_not_matter(seconds, minutes):
    in_utc = FROM_2007 + timedelta(seconds=seconds)
    elsewhere = in_utc.astimezone(timezone(timedelta(minutes=minutes)))

    assert local_date(in_utc, ZoneInfo("America/Denver")) == local_date(elsewhere, ZoneInfo("America/Denver"))


def test_a_moment_without_a_zone_is_refused():
    with pytest.raises(MomentWithoutZone, match="does not say its time zone"):
        local_date(datetime(2026, 6, 30, 12), ZoneInfo("America/Chicago"))  # noqa: DTZ001 the point of the test


@pytest.mark.parametrize(
    ("moment", "hours"), [(datetime.max.replace(tzinfo=UTC), 1), (datetime.min.replace(tzinfo=UTC), -1)]
)
def test_a_moment_at_the_end_of_the_calendar_is_refused(moment, hours):
    with pytest.raises(DateOutOfRange):
        local_date(moment, timezone(timedelta(hours=hours)))


@pytest.mark.parametrize(
    ("start", "months", "expected"),
    [
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2025, 1, 31), 1, date(2025, 2, 28)),
        (date(2025, 12, 15), 1, date(2026, 1, 15)),
        (date(2026, 1, 15), -1, date(2025, 12, 15)),
        (date(2024, 2, 29), -12, date(2023, 2, 28)),
        (date(2025, 5, 5), 0, date(2025, 5, 5)),
    ],
)
def test_months_are_added_to_the_same_day_or_the_last_of_a_short_month(start, months, expected):
    assert add_months(start, months) == expected


@given(start=SOME_DATES, months=st.integers(-600, 600))
def test_adding_months_agrees_with_dateutil(start, months):
    assert add_months(start, months) == start + relativedelta(months=months)


@given(start=SOME_DATES, years=st.integers(-50, 50))
def test_adding_years_agrees_with_dateutil(start, years):
    assert add_years(start, years) == start + relativedelta(years=years)


@pytest.mark.parametrize("months", [12 * 9999, -12 * 9999, 10**30])
def test_months_beyond_the_calendar_are_refused(months):
    with pytest.raises(DateOutOfRange):
        add_months(date(2026, 1, 1), months)


def test_29_february_is_28_february_in_a_year_without_one():
    assert day_of_year(2024, 2, 29) == date(2024, 2, 29)
    assert day_of_year(2025, 2, 29) == date(2025, 2, 28)
    assert day_of_year(2100, 2, 29) == date(2100, 2, 28)


@pytest.mark.parametrize(("month", "day"), [(0, 1), (13, 1), (2, 30), (4, 31), (6, 0), (12, 32)])
def test_a_day_that_no_year_has_is_refused(month, day):
    with pytest.raises(NoSuchDay, match=f"no day {day} in month {month}"):
        day_of_year(2024, month, day)


@pytest.mark.parametrize("year", [0, 10_000])
def test_a_year_beyond_the_calendar_is_refused(year):
    with pytest.raises(DateOutOfRange):
        day_of_year(year, 1, 1)
