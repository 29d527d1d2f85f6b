"""The date of a work day is the local one, by the clock of its property."""

from datetime import date

import pytest

from stewardship.workdays.services.planning import DateMismatch
from tests.planning import at


@pytest.mark.parametrize(
    ("zone", "starts_at", "on_date"),
    [
        # 04:59 and 05:00 UTC lie on both sides of midnight in Chicago's summer time (UTC-5)
        ("America/Chicago", "2027-07-01T04:59:59Z", "2027-06-30"),
        ("America/Chicago", "2027-07-01T05:00:00Z", "2027-07-01"),
        # in winter the same midnight is at 06:00 UTC
        ("America/Chicago", "2027-01-01T05:59:59Z", "2026-12-31"),
        ("America/Chicago", "2027-01-01T06:00:00Z", "2027-01-01"),
        # summer time begins on 14 March 2027 at 02:00 and ends on 7 November at 02:00 (second and first Sunday)
        ("America/Chicago", "2027-03-14T01:30:00-06:00", "2027-03-14"),
        ("America/Chicago", "2027-03-14T03:30:00-05:00", "2027-03-14"),
        ("America/Chicago", "2027-03-15T04:30:00Z", "2027-03-14"),
        ("America/Chicago", "2027-11-07T01:30:00-05:00", "2027-11-07"),
        ("America/Chicago", "2027-11-07T01:30:00-06:00", "2027-11-07"),
        ("America/Chicago", "2027-11-08T05:30:00Z", "2027-11-07"),
        # Lord Howe Island moves its clock by half an hour: UTC+11 in summer, UTC+10:30 in winter
        ("Australia/Lord_Howe", "2027-01-31T13:00:00Z", "2027-02-01"),
        ("Australia/Lord_Howe", "2027-06-30T13:29:59Z", "2027-06-30"),
        ("Australia/Lord_Howe", "2027-06-30T13:30:00Z", "2027-07-01"),
    ],
)
def test_the_date_of_a_day_is_told_by_the_clock_of_its_property(coordinator, zone, starts_at, on_date):
    """Rules of the zones: IANA time zone database, files northamerica and australasia."""
    place = coordinator.does("property", "create", name="Far Meadow", time_zone=zone).record.id
    told = {"property": place, "title": "Night walk", "starts_at": starts_at}

    day = coordinator.does("work_day", "create", **told, on_date=on_date).record

    assert (str(day.on_date), day.time_zone) == (on_date, zone)
    for other in (date.fromordinal(date.fromisoformat(on_date).toordinal() + step) for step in (-1, 1)):
        with pytest.raises(DateMismatch) as refused:
            coordinator.does("work_day", "create", **told, on_date=str(other))
        assert refused.value.code == "date_mismatch"


def test_no_day_starts_on_the_date_that_samoa_left_out(coordinator):
    """Samoa crossed the date line: 29 December 2011 was followed by the 31st (IANA database, file australasia)."""
    place = coordinator.does("property", "create", name="Reef", time_zone="Pacific/Apia").record.id
    told = {"property": place, "title": "x", "starts_at": "2011-12-30T10:00:00Z"}

    assert coordinator.does("work_day", "create", **told, on_date="2011-12-31").record
    with pytest.raises(DateMismatch):
        coordinator.does("work_day", "create", **told, on_date="2011-12-30")


def test_a_day_keeps_the_zone_that_it_was_planned_by(coordinator, plan):
    coordinator.does("property", "amend", id=plan.property, time_zone="Pacific/Auckland")

    assert plan.does("amend", starts_at=at("10:00")).time_zone == "America/Chicago"
