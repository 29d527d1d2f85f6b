"""A day is postponed or cancelled: who signed up stays, and is told."""

from datetime import date

import pytest

from stewardship.errors import NotPermitted, ReasonMissing
from stewardship.notices.models import Notice
from stewardship.workdays.models import SignUp
from stewardship.workdays.reasons import DayNotApproved, DayNotReady
from stewardship.workdays.services.postponing import NotPostponed, PostponedIntoThePast
from stewardship.workdays.states import DayWasAttended, StateWrong
from tests.planning import Plan, at, licence, task

LATER = {"on_date": "2027-07-08", "reason": "thunderstorms"}


@pytest.fixture
def open_plan(coordinator):
    plan = Plan(coordinator, herbicide_planned=False)
    plan.does("open")
    return plan


def told(someone):
    return list(Notice.objects.filter(member_id=someone.member.id).values_list("kind", "text"))


def test_a_postponed_day_keeps_its_people_and_its_hours(open_plan, volunteer):
    id = open_plan.takes(volunteer, open_plan.duty("cutter"))

    day = open_plan.does("postpone", **LATER)

    assert (day.on_date, day.postponed_from, day.state) == (date(2027, 7, 8), date(2027, 7, 1), "open")
    assert (day.starts_at.isoformat(), day.ends_at.isoformat()) == (
        "2027-07-08T14:00:00+00:00", "2027-07-08T17:30:00+00:00",
    )  # fmt: skip
    assert day.state_reason == "thunderstorms"
    assert SignUp.objects.get(id=id).withdrawn_at is None


def test_it_keeps_its_hours_by_the_clock_also_over_the_end_of_summer_time(open_plan):
    open_plan.does("amend", weather_decision_at=at("18:00", "2027-06-30"))

    day = open_plan.does("postpone", on_date="2027-11-11", reason="storm")

    assert day.starts_at.isoformat() == "2027-11-11T15:00:00+00:00"
    assert day.weather_decision_at.isoformat() == "2027-11-11T00:00:00+00:00"


def test_other_hours_are_taken_and_none_are_taken_away(open_plan):
    times = {"starts_at": at("13:00", "2027-07-08"), "ends_at": None}

    day = open_plan.does("postpone", **LATER, **times)

    assert (day.starts_at.isoformat(), day.ends_at) == ("2027-07-08T18:00:00+00:00", None)


def test_postponed_twice_it_still_says_when_it_was_first_planned(open_plan):
    open_plan.does("postpone", **LATER)

    assert open_plan.does("postpone", on_date="2027-07-15", reason="again").postponed_from == date(2027, 7, 1)


def test_a_confirmed_day_is_open_again_and_the_gate_is_asked_for_the_new_date(plan, coordinator, volunteer):
    plan.staffed(volunteer, expires_on="2027-07-05").does("confirm")

    assert plan.does("postpone", **LATER).state == "open"

    with pytest.raises(DayNotReady) as refused:
        plan.does("confirm")
    assert [reason["code"] for reason in refused.value.facts["reasons"]] == ["credential_expired"]


def test_a_draft_stays_a_draft_and_nobody_is_told(plan):
    assert plan.does("postpone", **LATER).state == "draft"
    assert not Notice.objects.exists()


def test_everybody_who_signed_up_or_waits_is_told_of_the_new_date(
    open_plan, coordinator, volunteer, other_volunteer, reviewer
):
    duty = open_plan.duty("cutter")
    for someone in (volunteer, other_volunteer):
        open_plan.takes(someone, duty)

    open_plan.does("postpone", **LATER, notice="Same place.")

    for someone in (volunteer, other_volunteer):
        [(kind, text)] = told(someone)
        assert kind == "day_changed"
        assert "was planned for Thursday 1 July 2027, 09:00 to 12:30" in text
        assert "now takes place on Thursday 8 July 2027, 09:00 to 12:30. Reason: thunderstorms" in text
        assert text.endswith("Same place.")
    assert told(reviewer) == told(coordinator) == []


def test_its_own_date_and_a_past_one_are_refused(open_plan):
    with pytest.raises(NotPostponed):
        open_plan.does("postpone", on_date="2027-07-01", reason="x")
    with pytest.raises(PostponedIntoThePast):
        open_plan.does("postpone", on_date="2027-04-30", reason="x")
    assert open_plan.does("postpone", on_date="2027-05-01", reason="x").on_date == date(2027, 5, 1)


def test_a_day_that_began_is_not_postponed(open_plan, volunteer):
    open_plan.comes(volunteer)
    with pytest.raises(DayWasAttended):
        open_plan.does("postpone", **LATER)

    open_plan.does("finish")
    with pytest.raises(StateWrong, match="cannot be postponed"):
        open_plan.does("postpone", **LATER)


def test_an_open_day_is_not_moved_out_of_the_season_of_its_task(plan, coordinator):
    plan.does("amend", task=str(task(coordinator, plan)))
    plan.does("open")

    with pytest.raises(DayNotApproved):
        plan.does("postpone", on_date="2027-11-01", reason="x")
    assert plan.does("postpone", on_date="2027-10-31", reason="x").on_date == date(2027, 10, 31)


def test_postponing_says_why_and_takes_a_coordinator(open_plan, volunteer):
    with pytest.raises(ReasonMissing):
        open_plan.does("postpone", on_date="2027-07-08")
    with pytest.raises(NotPermitted):
        volunteer.does("work_day", "postpone", id=open_plan.id, **LATER)


def test_who_waits_moves_up_if_they_are_qualified_on_the_new_date(plan, coordinator, volunteer):
    plan.does("open")
    duty = plan.duty()
    held = licence(coordinator, volunteer, "2027-12-31")
    licence(coordinator, coordinator, "2027-12-31")
    first, second = plan.takes(coordinator, duty), plan.takes(volunteer, duty)
    coordinator.does("credential", "amend", id=held, reason="misread", issued_on="2027-07-05", received_on="2027-07-05")
    coordinator.does("sign_up", "withdraw", id=first)
    assert SignUp.objects.get(id=second).is_waiting

    plan.does("postpone", **LATER)

    assert not SignUp.objects.get(id=second).is_waiting


# -- cancelled and changed ---------------------------------------------------------------------------


def test_who_signed_up_is_told_of_a_cancelled_day_and_why(open_plan, volunteer, other_volunteer):
    open_plan.takes(volunteer, open_plan.duty("cutter"))
    gone = open_plan.takes(other_volunteer, open_plan.duty("hauler"))
    other_volunteer.does("sign_up", "withdraw", id=gone)

    day = open_plan.does("cancel", reason="flooded", notice="We meet again in August.")

    assert day.notice == "We meet again in August."
    [(kind, text)] = told(volunteer)
    assert kind == "day_cancelled"
    assert "does not take place on Thursday 1 July 2027, 09:00 to 12:30. Reason: flooded" in text
    assert text.endswith("We meet again in August.")
    assert told(other_volunteer) == []


def test_another_meeting_point_is_told_and_another_note_is_not(open_plan, volunteer):
    open_plan.takes(volunteer, open_plan.duty("cutter"))

    open_plan.does("amend", note="bring gloves")
    assert told(volunteer) == []
    open_plan.does("amend", meeting_point="The east gate")
    open_plan.does("amend", starts_at=at("10:00"))
    open_plan.does("amend", meeting_point="")

    assert [kind for kind, _ in told(volunteer)] == ["day_changed"] * 3
    assert told(volunteer)[0][1].endswith("12:30. Meeting point: The east gate.")
    assert "was planned" not in told(volunteer)[0][1]
    was, now = "Thursday 1 July 2027, 09:00 to 12:30", "Thursday 1 July 2027, 10:00 to 12:30"
    assert f"was planned for {was}. It now takes place on {now}." in told(volunteer)[1][1]
    assert "Where to meet is not set any more: ask the leader" in told(volunteer)[2][1]
