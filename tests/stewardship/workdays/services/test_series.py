"""Work days come back by a rule: made ahead, none twice, and changed only where nobody changed them by themselves."""

from datetime import date, timedelta

import pytest

from stewardship.errors import NotPermitted, ReasonMissing, Unreadable
from stewardship.journal.ids import new_id
from stewardship.notices.models import Notice
from stewardship.rules.recurrence import RuleUnreadable
from stewardship.workdays.models import Duty, SignUp, WorkDay, WorkDaySeries
from stewardship.workdays.reasons import DayNotApproved
from stewardship.workdays.services.planning import TaskElsewhere, UnitElsewhere
from stewardship.workdays.services.series import AHEAD, SeriesEndsBeforeItBegins
from tests.cast import AT, sent
from tests.planning import Plan, task

SATURDAYS = {
    "title": "Second Saturdays",
    "rule": "FREQ=MONTHLY;BYDAY=2SA",
    "first_on": "2027-05-08",
    "starts": "09:00",
    "minutes": 210,
    "duties": [{"name": "puller", "wanted": 5}, {"name": "leader", "wanted": 1}],
}
DATES = ["2027-05-08", "2027-06-12", "2027-07-10", "2027-08-14", "2027-09-11", "2027-10-09"]
"""Second Saturdays of 2027 within 180 days of the first one, read off a calendar."""


@pytest.fixture
def property_(coordinator):
    return coordinator.does("property", "create", name="Heron Bend").record.id


@pytest.fixture
def make(coordinator, property_):
    def make(**values):
        told = SATURDAYS | {"property": property_} | values
        return coordinator.does("work_day_series", "create", **told).record.id

    return make


def days(series):
    return list(WorkDay.objects.filter(series_id=series).order_by("series_on"))


def dates(series, *states):
    return [str(day.on_date) for day in days(series) if not states or day.state in states]


def test_the_days_are_made_ahead_with_their_duties(make):
    made = days(make(plan={"meeting_point": "East gate", "hazards": [{"what": "heat"}], "sign_up_closes_h": 24}))

    assert [str(day.on_date) for day in made] == DATES
    first = made[0]
    assert (first.title, first.meeting_point, first.state) == ("Second Saturdays", "East gate", "draft")
    assert (first.starts_at.isoformat(), first.ends_at - first.starts_at) == (
        "2027-05-08T14:00:00+00:00", timedelta(minutes=210),
    )  # fmt: skip
    assert first.sign_up_closes_at == first.starts_at - timedelta(days=1)
    assert first.hazards == [{"what": "heat", "note": ""}]
    assert sorted(Duty.objects.filter(work_day=first).values_list("name", "wanted")) == [("leader", 1), ("puller", 5)]


def test_done_again_none_is_made_twice_and_later_the_next_ones_come(make, coordinator):
    series = make()
    again = coordinator.does("work_day_series", "extend", id=series)
    assert (again.result["outcome"], dates(series)) == ("noop", DATES)

    later = coordinator.does("work_day_series", "extend", id=series, at=AT + timedelta(days=31))

    assert later.result["outcome"] == "applied"
    assert dates(series) == [*DATES, "2027-11-13"]


def test_a_day_keeps_its_clock_over_the_end_of_summer_time(make):
    made = days(make(rule="FREQ=WEEKLY;COUNT=2", first_on="2027-11-06"))

    assert [day.starts_at.isoformat() for day in made] == ["2027-11-06T14:00:00+00:00", "2027-11-13T15:00:00+00:00"]


@pytest.mark.parametrize(
    ("first_on", "starts", "utc"),
    [("2027-03-14", "02:30", "2027-03-14T08:30:00+00:00"), ("2027-11-07", "01:30", "2027-11-07T06:30:00+00:00")],
)
def test_a_time_that_does_not_exist_or_comes_twice_is_settled_as_rfc_5545_says(
    coordinator, property_, first_on, starts, utc
):
    """Section 3.3.5: the offset before the gap, so 02:30 is 03:30 of summer time; the first of two 01:30."""
    told = SATURDAYS | {"property": property_, "rule": "FREQ=DAILY;COUNT=1", "first_on": first_on, "starts": starts}
    series = coordinator.does("work_day_series", "create", **told, at=AT.replace(year=2027, month=1)).record.id

    assert days(series)[0].starts_at.isoformat() == utc


def test_no_more_than_sixty_days_stand_ahead(make):
    made = dates(make(rule="FREQ=DAILY", first_on="2027-05-02"))

    assert (len(made), made[0], made[-1]) == (60, "2027-05-02", "2027-06-30")


def test_dates_are_left_out_and_taken_up_again(make, coordinator):
    series = make(without=["2027-07-10"])
    assert "2027-07-10" not in dates(series)

    coordinator.does("work_day_series", "amend", id=series, without=["2027-06-12"])
    assert dates(series, "draft") == [d for d in DATES if d != "2027-06-12"]
    assert dates(series, "cancelled") == ["2027-06-12"]

    coordinator.does("work_day_series", "amend", id=series, without=[])
    assert dates(series, "draft") == DATES


def test_a_change_leaves_alone_what_was_changed_by_hand_confirmed_or_begun(make, coordinator, volunteer):
    series = make(opens=True)
    by_hand, confirmed, cancelled, duty_changed, *rest = days(series)
    coordinator.does("work_day", "amend", id=by_hand.id, note="bring boots")
    coordinator.does("work_day", "confirm", id=confirmed.id)
    coordinator.does("work_day", "cancel", id=cancelled.id, reason="storm")
    coordinator.does("duty", "create", work_day=duty_changed.id, name="cutter", wanted=1)

    coordinator.does("work_day_series", "amend", id=series, title="Saturdays of pulling", starts="10:00")

    titles = [day.title for day in days(series)]
    assert titles == ["Second Saturdays"] * 4 + ["Saturdays of pulling"] * len(rest)
    assert [day.starts_at.isoformat()[11:16] for day in days(series)] == ["14:00"] * 4 + ["15:00"] * len(rest)
    assert days(series)[2].state == "cancelled"


def test_sign_ups_do_not_part_a_day_from_its_series_and_are_told_of_the_change(make, coordinator, volunteer):
    series = make(opens=True)
    day = days(series)[1]
    puller = Duty.objects.get(work_day=day, name="puller")
    volunteer.does("sign_up", "create", work_day=day.id, duty=puller.id)

    coordinator.does("work_day_series", "amend", id=series, starts="10:00")

    [notice] = Notice.objects.filter(member_id=volunteer.member.id)
    assert notice.kind == "day_changed"
    assert "Saturday 12 June 2027, 10:00 to 13:30" in notice.text
    assert SignUp.objects.get().withdrawn_at is None


def test_other_duties_come_and_go_with_the_series(make, coordinator):
    series = make()

    duties = [{"name": "puller", "wanted": 8}, {"name": "other", "other_name": "cook", "wanted": 1}]
    coordinator.does("work_day_series", "amend", id=series, duties=duties)

    wanted = set(Duty.objects.filter(work_day=days(series)[0]).values_list("name", "wanted"))
    assert wanted == {("puller", 8), ("leader", 0), ("other", 1)}


def test_an_ended_series_cancels_what_comes_after_and_makes_no_more(make, coordinator, volunteer):
    series = make(opens=True)
    last = days(series)[-1]
    puller = Duty.objects.get(work_day=last, name="puller")
    volunteer.does("sign_up", "create", work_day=last.id, duty=puller.id)

    coordinator.does("work_day_series", "end", id=series, last_on="2027-08-14", reason="the site is done")
    coordinator.does("work_day_series", "extend", id=series, at=AT + AHEAD)

    assert dates(series, "open") == DATES[:4]
    assert [day.state_reason for day in days(series)[4:]] == ["the site is done"] * 2
    assert [notice.kind for notice in Notice.objects.filter(member_id=volunteer.member.id)] == ["day_cancelled"]


def test_days_that_were_not_approved_stay_drafts(make, coordinator, property_):
    plan = Plan(coordinator)
    kept = task(coordinator, plan, property=property_, to_on="2027-07-31", herbicide=False)

    series = make(opens=True, plan={"task": str(kept)})

    assert (dates(series, "open"), dates(series, "draft")) == (DATES[:3], DATES[3:])
    with pytest.raises(DayNotApproved):
        coordinator.does("work_day", "open", id=days(series)[3].id)


def test_what_cannot_be_is_refused(make, coordinator):
    elsewhere = Plan(coordinator)

    with pytest.raises(RuleUnreadable):
        make(rule="every second Saturday")
    with pytest.raises(UnitElsewhere):
        make(plan={"units": [str(elsewhere.unit)]})
    with pytest.raises(TaskElsewhere):
        make(plan={"task": str(task(coordinator, elsewhere))})
    for values in ({"starts": "25:00"}, {"minutes": 0}, {"duties": [{"name": "other", "wanted": 1}]}):
        with pytest.raises(Unreadable):
            make(**values)
    assert not WorkDaySeries.objects.exists()


def test_ending_says_why_and_not_before_the_first_day(make, coordinator, volunteer):
    series = make()

    with pytest.raises(SeriesEndsBeforeItBegins):
        coordinator.does("work_day_series", "end", id=series, last_on="2027-05-07", reason="x")
    with pytest.raises(ReasonMissing):
        coordinator.does("work_day_series", "end", id=series, last_on="2027-06-01")
    with pytest.raises(NotPermitted):
        volunteer.does("work_day_series", "end", id=series, last_on="2027-06-01", reason="x")


def test_a_push_makes_the_same_days_once(coordinator, property_):
    id = new_id()
    wish = SATURDAYS | {"id": str(id), "property": str(property_)}

    taken = coordinator.pushes(
        sent("work_day_series", "create", wish), sent("work_day_series", "create", wish),
        sent("work_day_series", "extend", id=id),
    )  # fmt: skip

    assert [result["outcome"] for result in taken.results] == ["applied", "noop", "noop"]
    assert dates(id) == DATES
    assert days(id)[0].series_on == date(2027, 5, 8)
