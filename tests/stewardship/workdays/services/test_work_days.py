"""Work days are planned, opened, held, and stopped, finished or cancelled."""

from datetime import date, datetime

import pytest

from stewardship.errors import NotPermitted, ReasonMissing, Unavailable, Unreadable
from stewardship.workdays.models import WorkDay
from stewardship.workdays.reasons import DayNotReady
from stewardship.workdays.services.planning import EndsBeforeBegin, UnitElsewhere, WorkDayTooLong
from stewardship.workdays.services.work_days import NobodyCame, StoppedBeforeBegun
from stewardship.workdays.states import DayWasAttended, StateWrong
from tests.cast import sent
from tests.planning import Plan, at

FIRST = "2027-06-30"


def codes(refused):
    return [reason["code"] for reason in refused.value.facts["reasons"]]


# -- planning --------------------------------------------------------------------------------------


def test_a_planned_day_is_a_draft_with_the_zone_of_the_group(plan):
    day = plan.day

    assert (day.state, day.on_date, day.time_zone) == ("draft", date(2027, 7, 1), "America/Chicago")
    assert day.units == [str(plan.unit)]


def test_a_unit_named_twice_is_kept_once(plan):
    plan.does("amend", units=[str(plan.unit), str(plan.unit)])

    assert plan.day.units == [str(plan.unit)]


def test_a_day_without_times_is_planned(coordinator):
    assert Plan(coordinator, starts_at=None, ends_at=None).day.starts_at is None


def test_a_unit_of_another_property_is_refused(coordinator, plan):
    other = coordinator.does("property", "create", name="Otter Marsh").record.id
    unit = coordinator.does("unit", "create", property=other, name="East").record.id

    with pytest.raises(UnitElsewhere, match="East belongs to another property"):
        plan.does("amend", units=[str(plan.unit), str(unit)])


def test_a_unit_or_a_property_of_another_group_is_unavailable(coordinator, stranger, plan):
    theirs = Plan(stranger, starts_at=None, ends_at=None)

    with pytest.raises(Unavailable):
        plan.does("amend", units=[str(theirs.unit)])
    with pytest.raises(Unavailable):
        coordinator.does("work_day", "create", property=theirs.property, title="x", on_date="2027-07-01")
    with pytest.raises(Unavailable):
        coordinator.does("work_day", "open", id=theirs.id)


@pytest.mark.parametrize(
    "values",
    [
        {"starts_at": at("12:30"), "ends_at": at("9:00")},
        {"starts_at": at("9:00"), "ends_at": at("9:00")},
        {"starts_at": None, "ends_at": at("9:00", "2027-06-30")},
    ],
)
def test_an_end_before_the_beginning_is_refused(coordinator, values):
    with pytest.raises(EndsBeforeBegin) as refused:
        Plan(coordinator, **values)

    assert refused.value.code == "ends_before_begin"
    assert not WorkDay.objects.exists()


def test_a_day_may_run_past_midnight_but_not_past_the_next_day(coordinator):
    assert Plan(coordinator, ends_at=at("23:59", "2027-07-02")).day

    with pytest.raises(WorkDayTooLong):
        Plan(coordinator, ends_at=at("0:00", "2027-07-03"))


@pytest.mark.parametrize("moment", ["2027-07-01T09:00:00", "9 o'clock", 9])
def test_a_time_without_an_offset_is_refused_with_its_place(coordinator, moment):
    with pytest.raises(Unreadable) as refused:
        Plan(coordinator, starts_at=moment)

    assert refused.value.facts["errors"][0]["pointer"] == "/starts_at"


# -- who may ---------------------------------------------------------------------------------------


def test_only_a_coordinator_plans_and_leads_a_work_day(plan, volunteer, reviewer):
    acts = {"amend": {"note": "x"}, "stop": {"stopped_at": at("10:00"), "reason": "rain"}, "cancel": {"reason": "x"}}

    for someone in (volunteer, reviewer):
        for op in ("amend", "open", "confirm", "stop", "finish", "cancel", "close"):
            with pytest.raises(NotPermitted):
                someone.does("work_day", op, id=plan.id, **acts.get(op, {}))


# -- its course ------------------------------------------------------------------------------------


def test_a_day_is_opened_confirmed_begun_by_the_first_check_in_and_finished(plan, volunteer):
    plan.staffed(volunteer)
    assert plan.does("confirm").state == "confirmed"

    plan.comes(volunteer)
    assert plan.day.state == "under_way"

    assert plan.does("finish").state == "done"


@pytest.mark.parametrize("op", ["open", "finish"])
def test_a_wrong_turn_is_refused_and_names_the_state(plan, op):
    plan.does("cancel", reason="storm")

    with pytest.raises(StateWrong, match="This work day is cancelled, so it cannot be"):
        plan.does(op)


def test_a_day_is_stopped_early_with_time_and_reason(plan, volunteer):
    plan.staffed(volunteer).does("confirm")
    plan.comes(volunteer)

    day = plan.does("stop", stopped_at=at("11:05"), reason="rain from 10:40")

    assert (day.state, day.state_reason) == ("stopped", "rain from 10:40")
    assert day.stopped_at == datetime.fromisoformat(at("11:05"))


def test_a_day_that_nobody_confirmed_is_stopped_early_if_anybody_came(plan, volunteer):
    plan.does("open")
    with pytest.raises(NobodyCame):
        plan.does("stop", stopped_at=at("11:05"), reason="rain")
    plan.comes(volunteer)

    assert plan.does("stop", stopped_at=at("11:05"), reason="rain").state == "stopped"


@pytest.mark.parametrize("stopped_at", [at("8:59"), at("11:00", FIRST)])
def test_a_stop_before_the_day_began_is_refused(plan, volunteer, stopped_at):
    plan.staffed(volunteer).does("confirm")
    plan.comes(volunteer)

    with pytest.raises(StoppedBeforeBegun):
        plan.does("stop", stopped_at=stopped_at, reason="rain")
    assert plan.day.state == "under_way"


@pytest.mark.parametrize(("op", "values"), [("stop", {"stopped_at": at("11:05")}), ("cancel", {})])
def test_a_stop_and_a_cancellation_say_why(plan, op, values):
    with pytest.raises(ReasonMissing):
        plan.does(op, **values)


def test_a_cancelled_day_keeps_its_reason(plan):
    day = plan.does("cancel", reason="storm warning")

    assert (day.state, day.state_reason) == ("cancelled", "storm warning")


def test_a_day_that_people_came_to_is_not_cancelled(plan, volunteer):
    plan.does("open")
    came = plan.comes(volunteer)
    with pytest.raises(DayWasAttended):
        plan.does("cancel", reason="storm")

    volunteer.does("attendance", "void", id=came.id, reason="wrong day")

    assert plan.does("cancel", reason="storm").state == "cancelled"


def test_a_day_that_took_place_without_being_confirmed_is_finished_if_anybody_came(plan, volunteer):
    plan.does("open")
    with pytest.raises(NobodyCame):
        plan.does("finish")

    plan.comes(volunteer)

    assert plan.does("finish").state == "done"


@pytest.mark.parametrize("values", [{"note": "bring gloves"}, {"herbicide_planned": False}])
def test_a_cancelled_day_is_not_amended(plan, values):
    plan.does("cancel", reason="storm")

    with pytest.raises(StateWrong):
        plan.does("amend", **values)


# -- a confirmed day stays ready -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "reasons"),
    [
        ({"on_date": "2027-07-02", "starts_at": None, "ends_at": None}, ["credential_expired"]),
        ({"units": []}, ["unit_missing"]),
    ],
)
def test_a_confirmed_day_is_not_moved_to_where_it_could_not_be_confirmed(plan, volunteer, values, reasons):
    plan.staffed(volunteer, expires_on="2027-07-01").does("confirm")
    before = plan.day.rev

    with pytest.raises(DayNotReady) as refused:
        plan.does("amend", **values)

    assert codes(refused) == reasons
    assert plan.day.rev == before


def test_herbicide_is_not_put_on_a_confirmed_day_without_an_applicator(coordinator):
    plan = Plan(coordinator, herbicide_planned=False)
    plan.does("open", "confirm")

    with pytest.raises(DayNotReady) as refused:
        plan.does("amend", herbicide_planned=True)

    assert codes(refused) == ["applicator_missing"]


def test_nor_on_a_day_that_is_under_way(coordinator, volunteer):
    plan = Plan(coordinator, herbicide_planned=False)
    plan.does("open", "confirm")
    plan.comes(volunteer)

    with pytest.raises(DayNotReady):
        plan.does("amend", herbicide_planned=True)
    assert plan.does("amend", note="wet ground").note == "wet ground"


def test_a_confirmed_day_takes_changes_that_leave_it_ready(plan, volunteer, coordinator):
    plan.staffed(volunteer, expires_on="2027-07-02").does("confirm")

    day = plan.does("amend", on_date="2027-07-02", starts_at=None, ends_at=None, note="moved by a day")

    assert (str(day.on_date), day.state) == ("2027-07-02", "confirmed")


def test_the_same_refusal_comes_through_a_push(plan, coordinator):
    plan.does("open")
    taken = coordinator.pushes(sent("work_day", "confirm", id=plan.id))

    [result] = taken.results
    assert (result["outcome"], result["code"]) == ("held", "day_not_ready")
    assert [reason["code"] for reason in result["reasons"]] == ["applicator_missing"]
    assert plan.day.state == "open"
