"""Clocks of rules: by the calendar on the wall or by the hour, through every change of the clocks."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from dateutil.rrule import DAILY, FR, MO, TH, TU, WE, rrule
from hypothesis import given
from hypothesis import strategies as st

from stewardship.rules.dates import DateOutOfRange, MomentWithoutZone, NoSuchDay, local_date
from stewardship.rules.deadlines import (
    SHORTEST,
    Clock,
    ClockUnclear,
    Standing,
    add_working_days,
    due_at,
    end_of_day,
    standing,
)
from tests.published import published

CHICAGO = ZoneInfo("America/Chicago")
SAME_DAY = Clock(kind="same_day")
MINUTE = timedelta(minutes=1)

ZONES = (
    "America/Chicago", "America/New_York", "America/Havana", "America/Sao_Paulo", "Europe/London", "Africa/Cairo",
    "Asia/Beirut", "Asia/Kathmandu", "Australia/Sydney", "Australia/Lord_Howe", "Pacific/Apia", "UTC",
)  # fmt: skip
MOMENTS = st.timedeltas(timedelta(), timedelta(days=36_500)).map(lambda after: datetime(1990, 1, 1, tzinfo=UTC) + after)


def local(text, zone=CHICAGO):
    return datetime.fromisoformat(text).replace(tzinfo=zone)


def clock(row):
    values = {name: int(row[name]) for name in ("count", "month", "day") if row[name]}
    return Clock(kind=row["kind"], **values)


# -- published clocks ------------------------------------------------------------------------------


@pytest.mark.parametrize("row", published("recording_clocks"), ids=str)
def test_a_published_clock_ends_with_the_minute_that_its_rule_names(row):
    zone = ZoneInfo(row["zone"])
    last = local(row["last_in_time"], zone)

    due = due_at(local(row["done_at"], zone), zone, clock(row))

    assert last.astimezone(UTC) <= due < last.astimezone(UTC) + MINUTE


def test_entered_ten_minutes_after_midnight_is_late_by_a_rule_of_the_same_day():
    due = due_at(local("2026-05-02T23:50"), CHICAGO, SAME_DAY)

    assert standing(local("2026-05-03T08:00"), due, local("2026-05-02T23:55")).state == "in_time"
    assert standing(local("2026-05-03T08:00"), due, local("2026-05-03T00:10")).state == "late"


def test_the_day_of_the_place_counts_not_that_of_the_phone():
    done_at = datetime.fromisoformat("2026-05-03T00:30:00-04:00")  # 23:30 on the day before, in Chicago

    due = due_at(done_at, CHICAGO, SAME_DAY)

    assert due.astimezone(CHICAGO).date() == date(2026, 5, 2)


# -- hours -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("zone", "done_at", "wall"),
    [
        ("America/Chicago", "2026-03-07T12:00", "2026-03-09T13:00"),
        ("America/Chicago", "2026-10-31T12:00", "2026-11-02T11:00"),
        ("Europe/London", "2026-03-28T12:00", "2026-03-30T13:00"),
        ("Europe/London", "2026-10-24T12:00", "2026-10-26T11:00"),
        ("Australia/Sydney", "2026-10-03T12:00", "2026-10-05T13:00"),
        ("Australia/Sydney", "2026-04-04T12:00", "2026-04-06T11:00"),
        ("Australia/Lord_Howe", "2026-10-03T12:00", "2026-10-05T12:30"),
        ("Australia/Lord_Howe", "2026-04-04T12:00", "2026-04-06T11:30"),
        ("America/Phoenix", "2026-03-07T12:00", "2026-03-09T12:00"),
    ],
)
def test_forty_eight_hours_are_absolute_across_a_change_of_the_clocks(zone, done_at, wall):
    place = ZoneInfo(zone)
    done = local(done_at, place)

    due = due_at(done, place, Clock(kind="hours", count=48))

    assert due - done.astimezone(UTC) == timedelta(hours=48)
    assert due.astimezone(place).replace(tzinfo=None) == datetime.fromisoformat(wall)


def test_an_hour_that_the_clocks_show_twice_is_told_apart_by_its_offset():
    first, second = (datetime.fromisoformat(f"2026-11-01T01:30:00{offset}") for offset in ("-05:00", "-06:00"))
    day = Clock(kind="hours", count=24)

    assert due_at(second, CHICAGO, day) - due_at(first, CHICAGO, day) == timedelta(hours=1)


# -- days ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [1, 5, 14, 30])
@given(moment=MOMENTS)
def test_days_are_counted_on_the_calendar_of_the_place(count, moment):
    due = due_at(moment, CHICAGO, Clock(kind="days", count=count))

    assert local_date(due, CHICAGO) == local_date(moment, CHICAGO) + timedelta(days=count)


@given(moment=MOMENTS, name=st.sampled_from(ZONES))
def test_the_same_day_ends_a_microsecond_before_the_next_one_begins(moment, name):
    zone = ZoneInfo(name)

    due = due_at(moment, zone, SAME_DAY)

    assert moment <= due
    assert local_date(due, zone) == local_date(moment, zone)
    assert local_date(due + SHORTEST, zone) > local_date(moment, zone)


@pytest.mark.parametrize(
    ("zone", "on", "end"),
    [
        ("America/Sao_Paulo", "2018-11-03", "2018-11-04T02:59:59.999999"),  # midnight did not happen
        ("America/Havana", "2026-10-31", "2026-11-01T03:59:59.999999"),  # midnight happens twice
        ("Pacific/Apia", "2011-12-29", "2011-12-30T09:59:59.999999"),  # a whole day did not happen
        ("UTC", "2028-02-29", "2028-02-29T23:59:59.999999"),
    ],
)
def test_a_day_ends_where_the_next_begins_even_if_the_clocks_change_at_midnight(zone, on, end):
    assert end_of_day(date.fromisoformat(on), ZoneInfo(zone)) == datetime.fromisoformat(end).replace(tzinfo=UTC)


@given(start=st.dates(date(2000, 1, 1), date(2099, 12, 31)), count=st.integers(1, 60))
def test_working_days_are_those_that_a_calendar_library_counts(start, count):
    weekdays = rrule(DAILY, byweekday=(MO, TU, WE, TH, FR), dtstart=start + timedelta(days=1), count=count)

    assert add_working_days(start, count) == weekdays[-1].date()


@pytest.mark.parametrize(
    ("done_on", "day", "due_on"),
    [("2026-01-31", 31, "2026-02-28"), ("2028-01-01", 30, "2028-02-29"), ("2026-12-01", 10, "2027-01-10")],
)
def test_a_day_of_the_next_month_is_its_last_where_it_has_no_such_day(done_on, day, due_on):
    due = due_at(local(f"{done_on}T10:00"), CHICAGO, Clock(kind="day_of_next_month", day=day))

    assert due.astimezone(CHICAGO).date() == date.fromisoformat(due_on)


@pytest.mark.parametrize(("year", "due_on"), [(2027, "2028-02-29"), (2026, "2027-02-28")])
def test_a_leap_day_each_year_is_the_last_of_february_in_others(year, due_on):
    due = due_at(local(f"{year}-06-01T10:00"), CHICAGO, Clock(kind="day_of_next_year", month=2, day=29))

    assert due.astimezone(CHICAGO).date() == date.fromisoformat(due_on)


# -- where a record stands -------------------------------------------------------------------------


def test_the_last_moment_is_in_time_and_the_next_is_late():
    due = due_at(local("2026-05-02T10:00"), CHICAGO, SAME_DAY)

    assert standing(due, due, due) == Standing("in_time", timedelta())
    assert standing(due, due, due + SHORTEST) == Standing("late", -SHORTEST)


def test_an_open_record_tells_the_time_left_and_an_overdue_one_by_how_much():
    due = due_at(local("2026-05-02T10:00"), CHICAGO, Clock(kind="hours", count=24))

    assert standing(local("2026-05-03T07:30"), due, None) == Standing("open", timedelta(hours=2, minutes=30))
    assert standing(local("2026-05-03T10:00"), due, None) == Standing("open", timedelta())
    assert standing(local("2026-05-03T11:00"), due, None) == Standing("overdue", timedelta(hours=-1))


def test_the_time_left_is_absolute_when_the_clocks_change_in_between():
    due = local("2026-03-09T12:00")

    assert standing(local("2026-03-07T12:00"), due, None).left == timedelta(hours=47)


def test_without_a_clock_nothing_is_due():
    due = due_at(local("2026-05-02T10:00"), CHICAGO, Clock())

    assert due is None
    assert standing(local("2026-06-02T10:00"), due, None) == Standing("no_clock", None)


# -- refusals --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "where"),
    [
        ({"kind": "hours"}, "count"),
        ({"kind": "days", "count": 0}, "count"),
        ({"kind": "working_days", "count": 1001}, "count"),
        ({"kind": "same_day", "count": 1}, "count"),
        ({"kind": "day_of_next_month"}, "day"),
        ({"kind": "day_of_next_month", "day": 1, "month": 2}, "month"),
        ({"kind": "day_of_next_year", "day": 1}, "month"),
        ({"kind": "soon"}, "kind"),
    ],
)
def test_a_clock_from_which_no_moment_follows_is_refused(values, where):
    with pytest.raises(ClockUnclear) as refused:
        Clock(**values)

    assert (refused.value.code, refused.value.where) == ("clock_unclear", where)


@pytest.mark.parametrize("values", [{"month": 2, "day": 30}, {"month": 13, "day": 1}, {"month": 1, "day": 0}])
def test_a_day_that_no_year_has_is_refused(values):
    with pytest.raises(NoSuchDay):
        Clock(kind="day_of_next_year", **values)


def test_a_day_that_no_month_has_is_refused():
    with pytest.raises(NoSuchDay):
        Clock(kind="day_of_next_month", day=32)


def test_a_reading_without_a_zone_is_refused():
    naive = datetime(2026, 5, 2, 10)  # noqa: DTZ001

    with pytest.raises(MomentWithoutZone):
        due_at(naive, CHICAGO, SAME_DAY)
    with pytest.raises(MomentWithoutZone):
        standing(naive, datetime(2026, 5, 2, tzinfo=UTC), None)


@pytest.mark.parametrize("kind", ["hours", "days", "working_days"])
def test_beyond_the_end_of_the_calendar_is_refused(kind):
    last = datetime(9999, 12, 31, 12, tzinfo=UTC)

    with pytest.raises(DateOutOfRange):
        due_at(last, ZoneInfo("UTC"), Clock(kind=kind, count=24))


def test_the_last_date_of_all_has_no_end_that_can_be_told():
    with pytest.raises(DateOutOfRange):
        end_of_day(date(9999, 12, 31), ZoneInfo("UTC"))
