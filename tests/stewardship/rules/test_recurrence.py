import re
from datetime import UTC, date, datetime, time, timedelta
from itertools import takewhile
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stewardship.rules.dates import DateOutOfRange
from stewardship.rules.recurrence import (
    RuleEndsBeforeItBegins,
    RuleFinerThanADay,
    RuleTooLong,
    RuleUnreadable,
    RuleWithoutEnd,
    TooManyOccurrences,
    UntilWithoutZone,
    at_local,
    day_occurrences,
    occurrences,
)
from stewardship.rules.recurrence_texts import CountAndUntil
from tests.published import published

NEW_YORK = ZoneInfo("America/New_York")
OFFSETS = {"EDT": timedelta(hours=-4), "EST": timedelta(hours=-5)}
GROUP = re.compile(r"\((?P<head>[^)]*)\)(?P<body>[^(]*)")
MONTH = re.compile(r"(?P<month>[A-Z][a-z]+) (?P<days>[\d, .\-]*)")
STAMP = "%Y%m%dT%H%M%S"


def local(text):
    return datetime.strptime(text, STAMP)  # noqa: DTZ007 a local time has no zone


def filled(items, step_of):
    """Put in what a row in print leaves out as "..." between two members; a last "..." is dropped."""
    found = []
    for item in items:
        if found and found[-1] == "..." and item != "...":
            found.pop()
            step = step_of(found)
            while found[-1] + step < item:
                found.append(found[-1] + step)
        found.append(item)
    return [item for item in found if item != "..."]


def of_days(text):
    items = re.findall(r"\d+-\d+|\d+|\.\.\.", text)
    days = []
    for item in items:
        first, is_range, last = item.partition("-")
        days += range(int(first), int(last) + 1) if is_range else ["..." if item == "..." else int(item)]
    return filled(days, lambda so_far: so_far[-1] - so_far[-2])


def of_times(day, text):
    items = re.findall(r"\d+:\d+|\.\.\.", text)
    times = ["..." if i == "..." else day + timedelta(hours=int(i[:-3]), minutes=int(i[-2:])) for i in items]
    return filled(times, lambda so_far: so_far[-1] - so_far[-2])


def as_printed(printed):
    """Return the local times and offsets that a row of the RFC prints, and whether it goes on after them."""
    found = []
    for group in GROUP.finditer(printed):
        head, body = group["head"], group["body"]
        offset = OFFSETS[head.split()[-1]]
        if of_one_day := re.fullmatch(r"(\w+ \d+, \d+) E[DS]T", head):
            day = datetime.strptime(of_one_day[1], "%B %d, %Y")  # noqa: DTZ007 a local date
            found += [(at, offset) for at in of_times(day, body)]
            continue
        year = int(head[:4])
        for part in MONTH.finditer(body):
            month = datetime.strptime(part["month"], "%B").month  # noqa: DTZ007 a month
            found += [(datetime(year, month, day, 9), offset) for day in of_days(part["days"])]  # noqa: DTZ001 local
    return found, printed.rstrip().endswith("...")


def set_in_new_york(row, rule, last):
    """Return the recurrence set of a row up to its last printed time, which an endless one does not say itself."""
    has_end = "COUNT" in rule or "UNTIL" in rule
    left_out = [local(row["exdate"])] if row["exdate"] else []
    return occurrences(
        rule, local(row["dtstart"]), until_local=None if has_end else last, without=left_out, zone=NEW_YORK
    )


EXAMPLES = published("rfc5545_3_8_5_3")


@pytest.mark.parametrize("row", EXAMPLES, ids=str)
def test_each_example_of_rfc_5545_comes_on_the_dates_and_with_the_offsets_printed_there(row):
    expected, goes_on = as_printed(row["printed"])
    rule = row["corrected"] or row["rrule"]

    found = set_in_new_york(row, rule, expected[-1][0])

    assert [(at, at_local(at, NEW_YORK).utcoffset()) for at in found] == expected
    assert goes_on == ("COUNT" not in rule and "UNTIL" not in rule)


def test_all_the_examples_of_the_section_are_there_with_the_number_of_dates_that_they_state():
    assert len(EXAMPLES) == 42
    for row in EXAMPLES:
        if count := re.search(r"COUNT=(\d+)", row["rrule"]):
            assert len(as_printed(row["printed"])[0]) == int(count[1]), row


def test_the_one_example_with_an_erratum_does_not_give_its_printed_times_as_it_stands():
    (row,) = [row for row in EXAMPLES if row["corrected"]]

    found = set_in_new_york(row, row["rrule"], None)

    assert [at.hour for at in found] == [9, 12]


def test_the_printed_rows_that_leave_out_members_are_read_whole():
    expected, goes_on = as_printed(
        "(1997 9:00 AM EDT) September 2,4,6,8...24,26; October 2-4 (1997 9:00 AM EST) May 1,..."
    )

    assert [at.day for at, _ in expected] == [2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 26, 2, 3, 4, 1]
    assert goes_on


SATURDAY = datetime(2027, 3, 6, 9)  # noqa: DTZ001 local


def test_a_series_stays_at_its_hour_of_the_wall_clock_over_the_change_to_summer_time():
    found = day_occurrences("FREQ=WEEKLY;COUNT=3", SATURDAY)

    moments = [at_local(at, ZoneInfo("America/Chicago")) for at in found]
    assert [m.hour for m in moments] == [9, 9, 9]
    assert [m.astimezone(UTC).hour for m in moments] == [15, 15, 14]


@pytest.mark.parametrize(
    ("naive", "zone", "expected"),
    [
        # RFC 5545, 3.3.5, prints the first two.
        ("2007-11-04T01:30", "America/New_York", "2007-11-04T01:30:00-04:00"),
        ("2007-03-11T02:30", "America/New_York", "2007-03-11T03:30:00-04:00"),
        ("2027-03-28T02:30", "Europe/Berlin", "2027-03-28T03:30:00+02:00"),
        ("2027-10-31T02:30", "Europe/Berlin", "2027-10-31T02:30:00+02:00"),
        ("2027-10-03T02:15", "Australia/Lord_Howe", "2027-10-03T02:45:00+11:00"),
        ("2027-04-04T01:45", "Australia/Lord_Howe", "2027-04-04T01:45:00+11:00"),
        ("2011-12-30T09:00", "Pacific/Apia", "2011-12-31T09:00:00+14:00"),
        ("2027-06-01T12:00", "Asia/Kolkata", "2027-06-01T12:00:00+05:30"),
    ],
)
def test_a_local_time_that_does_not_exist_or_comes_twice_is_settled_as_the_rfc_says(naive, zone, expected):
    assert at_local(datetime.fromisoformat(naive), ZoneInfo(zone)).isoformat() == expected


def test_a_local_time_at_the_end_of_the_calendar_is_refused():
    with pytest.raises(DateOutOfRange):
        at_local(datetime(9999, 12, 31, 23), NEW_YORK)  # noqa: DTZ001 local


def test_a_local_time_comes_without_a_zone():
    with pytest.raises(ValueError, match="without a zone"):
        at_local(datetime.now(UTC), NEW_YORK)


@pytest.mark.parametrize(
    ("rule", "fault"),
    [
        ("", "no part"),
        ("every Saturday", "no part"),
        ("COUNT=3", "does not say FREQ"),
        ("FREQ=FORTNIGHTLY;COUNT=3", "not “FORTNIGHTLY”"),
        ("FREQ=WEEKLY;COUNT=0", "COUNT is a number from 1"),
        ("FREQ=WEEKLY;COUNT=-1", "COUNT is a number from 1"),
        ("FREQ=WEEKLY;COUNT=1e3", "COUNT is a number from 1"),
        ("FREQ=WEEKLY;COUNT=٣", "COUNT is a number from 1"),
        ("FREQ=WEEKLY;COUNT=99999999999999999999", "COUNT is a number from 1"),
        ("FREQ=WEEKLY;INTERVAL=0;COUNT=3", "INTERVAL is a number from 1"),
        ("FREQ=WEEKLY;COUNT=3;COUNT=4", "COUNT twice"),
        ("FREQ=WEEKLY;COUNT=3;", "no part"),
        ("FREQ=WEEKLY;X=3", "no part"),
        ("FREQ=WEEKLY;UNTIL=tomorrow", "UNTIL is a date"),
        ("FREQ=WEEKLY;UNTIL=20270230", "UNTIL is a date"),
        ("FREQ=WEEKLY;UNTIL=20270301T250000Z", "UNTIL is a date"),
        ("FREQ=WEEKLY;BYDAY=SAT;COUNT=3", "list of weekdays"),
        ("FREQ=MONTHLY;BYDAY=0SA;COUNT=3", "list of weekdays"),
        ("FREQ=MONTHLY;BYDAY=54SA;COUNT=3", "list of weekdays"),
        ("FREQ=WEEKLY;BYDAY=2SA;COUNT=3", "for months and years, not for WEEKLY"),
        ("FREQ=YEARLY;BYWEEKNO=20;BYDAY=2SA;COUNT=3", "does not go with BYWEEKNO"),
        ("FREQ=MONTHLY;BYWEEKNO=20;COUNT=3", "for years only"),
        ("FREQ=MONTHLY;BYYEARDAY=20;COUNT=3", "does not go with MONTHLY"),
        ("FREQ=WEEKLY;BYMONTHDAY=20;COUNT=3", "does not go with WEEKLY"),
        ("FREQ=MONTHLY;BYMONTHDAY=0;COUNT=3", "but 0"),
        ("FREQ=MONTHLY;BYMONTHDAY=32;COUNT=3", "BYMONTHDAY is a number"),
        ("FREQ=MONTHLY;BYMONTH=13;COUNT=3", "BYMONTH is a number"),
        ("FREQ=MONTHLY;BYSETPOS=1;COUNT=3", "there is none"),
        ("FREQ=SECONDLY;BYSECOND=1;BYSETPOS=2;COUNT=3", "not understood here"),
        ("FREQ=WEEKLY;WKST=1;COUNT=3", "WKST is a weekday"),
        ("FREQ=HOURLY;INTERVAL=2;BYHOUR=8;COUNT=3", "never comes"),
        ("FREQ=WEEKLY;COUNT=3" + ";BYMONTH=1" * 60, "longer than 500"),
    ],
)
def test_a_rule_that_the_rfc_does_not_admit_is_refused_and_never_guessed(rule, fault):
    with pytest.raises(RuleUnreadable, match="not a rule that something can repeat by") as caught:
        occurrences(rule, SATURDAY)

    assert fault in caught.value.message


def test_a_rule_with_two_ends_is_refused():
    with pytest.raises(CountAndUntil, match="Leave out one of the two"):
        occurrences("FREQ=WEEKLY;COUNT=3;UNTIL=20270401", SATURDAY)


def test_a_rule_that_goes_on_for_ever_needs_a_last_day():
    with pytest.raises(RuleWithoutEnd, match="repeats for ever"):
        occurrences("FREQ=WEEKLY", SATURDAY)

    found = occurrences("FREQ=WEEKLY", SATURDAY, until_local=datetime(2027, 3, 20, 9))  # noqa: DTZ001 local
    assert [at.day for at in found] == [6, 13, 20]


def test_a_rule_that_ends_before_its_first_day_is_refused():
    with pytest.raises(RuleEndsBeforeItBegins, match="2027-03-06"):
        occurrences("FREQ=WEEKLY;UNTIL=20270305", SATURDAY)


def test_no_more_occurrences_are_made_than_the_most_that_was_said():
    assert len(occurrences("FREQ=WEEKLY;COUNT=8", SATURDAY, most=8)) == 8
    with pytest.raises(TooManyOccurrences, match="more than 8 occurrences"):
        occurrences("FREQ=WEEKLY;COUNT=9", SATURDAY, most=8)


@pytest.mark.parametrize(
    "rule", ["FREQ=HOURLY;COUNT=3", "FREQ=DAILY;BYHOUR=9,15;COUNT=3", "FREQ=DAILY;BYMINUTE=5;COUNT=3"]
)
def test_work_days_take_no_rule_that_is_finer_than_a_day(rule):
    with pytest.raises(RuleFinerThanADay, match="at most once a day"):
        day_occurrences(rule, SATURDAY)

    assert len(occurrences(rule, SATURDAY)) == 3


def test_an_end_in_utc_is_held_against_the_clock_of_the_place():
    nine_in_chicago = "FREQ=WEEKLY;UNTIL=20270320T140000Z"

    assert len(occurrences(nine_in_chicago, SATURDAY, zone=ZoneInfo("America/Chicago"))) == 3
    assert len(occurrences("FREQ=WEEKLY;UNTIL=20270320T135959Z", SATURDAY, zone=ZoneInfo("America/Chicago"))) == 2
    with pytest.raises(UntilWithoutZone, match="by which clock"):
        occurrences(nine_in_chicago, SATURDAY)


def test_an_end_that_is_a_date_holds_the_whole_of_it():
    assert [at.day for at in occurrences("FREQ=WEEKLY;UNTIL=20270320", SATURDAY)] == [6, 13, 20]
    assert [at.day for at in occurrences("FREQ=WEEKLY;UNTIL=20270320T085959", SATURDAY)] == [6, 13]


def test_the_first_day_counts_also_where_it_does_not_fit_the_rule():
    found = occurrences("RRULE:freq=weekly;byday=su;count=3", SATURDAY)

    assert [(at.month, at.day) for at in found] == [(3, 6), (3, 7), (3, 14)]


def test_a_day_that_is_left_out_still_counts():
    assert len(occurrences("FREQ=WEEKLY;COUNT=3", SATURDAY, without=[SATURDAY + timedelta(days=7)])) == 2


def test_a_position_is_counted_in_the_whole_of_the_first_week():
    wednesday = datetime(2027, 3, 3, 9)  # noqa: DTZ001 local

    found = occurrences("FREQ=WEEKLY;BYDAY=MO,WE,FR;BYSETPOS=2;COUNT=3", wednesday)

    assert [at.day for at in found] == [3, 10, 17]


def test_a_week_number_without_a_weekday_takes_that_of_the_first_day():
    found = occurrences("FREQ=YEARLY;BYWEEKNO=20;COUNT=3", datetime(2027, 5, 19, 9))  # noqa: DTZ001 local

    assert [at.date().isoformat() for at in found] == ["2027-05-19", "2028-05-17", "2029-05-16"]
    assert {at.isocalendar()[1:] for at in found} == {(20, 3)}


@pytest.mark.parametrize(
    "rule",
    [
        "FREQ=YEARLY;COUNT=60",
        "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30;COUNT=2",
        "FREQ=DAILY;BYDAY=SA;BYSETPOS=9;COUNT=2",
        "FREQ=MINUTELY;BYMONTH=4;BYMONTHDAY=31;COUNT=2",
        "FREQ=YEARLY;UNTIL=99991231",
    ],
)
def test_a_rule_is_not_followed_for_ever(rule):
    with pytest.raises(RuleTooLong, match="50 years"):
        occurrences(rule, SATURDAY)


def by_looking_at_each_day(first, last, interval, weekdays):
    """Return the days on ``weekdays`` of every ``interval``-th week, which begins on Monday, found by walking."""
    monday = first - timedelta(days=first.weekday())
    days = takewhile(lambda day: day <= last, (first + timedelta(days=n) for n in range(10_000)))
    return [d for d in days if d.weekday() in weekdays and (d - monday).days // 7 % interval == 0]


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    start=st.dates(date(1990, 1, 1), date(2090, 1, 1)),
    interval=st.integers(1, 6),
    others=st.sets(st.integers(0, 6)),
    days=st.integers(0, 400),
)
def test_weekly_rules_agree_with_walking_through_the_calendar(start, interval, others, days):
    first = datetime.combine(start, time(9))
    weekdays = {first.weekday(), *others}
    by_day = ",".join(["MO", "TU", "WE", "TH", "FR", "SA", "SU"][d] for d in sorted(weekdays))
    last = first + timedelta(days=days)

    found = day_occurrences(f"FREQ=WEEKLY;INTERVAL={interval};BYDAY={by_day}", first, until_local=last)

    assert found == by_looking_at_each_day(first, last, interval, weekdays)
