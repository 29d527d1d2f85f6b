"""A work day is closed when nothing about it is open; refused, every reason is told."""

from datetime import datetime

import pytest

from stewardship.closeout.services import DayNotClosable
from stewardship.errors import NotPermitted
from stewardship.treatments.models import Session
from tests.cast import sent
from tests.ground import lay_out
from tests.planning import Plan, at
from tests.stewardship.treatments.bottles import came_back, line, shared, taken_out, used


@pytest.fixture
def plan(coordinator):
    plan = Plan(coordinator)
    plan.does("open")
    return plan


def test_a_day_that_is_done_and_left_by_all_is_closed(plan, volunteer):
    plan.comes(volunteer, out_at=at("12:00"), how_known="measured")

    assert plan.does("finish", "close").state == "closed"


def test_a_day_that_was_stopped_is_closed(coordinator, volunteer):
    plan = Plan(coordinator, herbicide_planned=False)
    plan.does("open", "confirm")
    plan.comes(volunteer, out_at=at("11:05"), how_known="measured")
    plan.does("stop", stopped_at=at("11:05"), reason="rain")

    assert plan.does("close").state == "closed"


def test_every_reason_is_told_at_once(plan, volunteer, other_volunteer, coordinator):
    for someone in (volunteer, other_volunteer):
        plan.comes(someone)
    plan.comes(coordinator, out_at=at("12:00"), how_known="measured")

    with pytest.raises(DayNotClosable) as refused:
        plan.does("close")

    assert refused.value.code == "day_not_closable"
    reasons = refused.value.facts["reasons"]
    assert [reason["code"] for reason in reasons] == ["state_wrong", "not_checked_out", "not_checked_out"]
    assert {reason["where"] for reason in reasons[1:]} == {
        f"members/{someone.member.id}" for someone in (volunteer, other_volunteer)
    }
    assert "Tobias Quill has not checked out" in str(refused.value)
    assert plan.day.state == "open"


def test_a_session_without_an_end_keeps_the_day_open(plan, volunteer):
    told = {"unit": plan.unit, "applicator": volunteer.member.id, "work_day": plan.id, "started_at": at("9:30")}
    session, mistaken = (volunteer.does("session", "create", **told).record.id for _ in range(2))
    volunteer.does("session", "void", id=mistaken, reason="entered twice")
    plan.comes(volunteer, out_at=at("12:00"), how_known="measured")
    plan.does("finish")

    with pytest.raises(DayNotClosable) as refused:
        plan.does("close")
    assert refused.value.facts["reasons"] == [
        {
            "code": "session_not_ended",
            "detail": "A treatment session of Tobias Quill has not ended. Enter its end.",
            "where": f"sessions/{session}",
        }
    ]

    volunteer.does("session", "end", id=session, ended_at=at("11:30"))
    assert plan.does("close").state == "closed"


def test_closing_the_day_is_apart_from_the_life_of_its_records(plan, volunteer, coordinator):
    told = {"unit": plan.unit, "applicator": volunteer.member.id, "work_day": plan.id, "started_at": at("9:30")}
    session = volunteer.does("session", "create", **told, ended_at=at("11:30")).record.id
    plan.comes(volunteer, out_at=at("12:00"), how_known="measured")
    plan.does("finish")

    assert plan.does("close").state == "closed"
    assert Session.objects.get(id=session).state == "draft"

    volunteer.does("session", "attest", id=session, at=datetime.fromisoformat(at("12:00")))
    coordinator.does("session", "lock", id=session)
    assert Session.objects.get(id=session).state == "locked"


def test_a_voided_check_in_is_not_waited_for(plan, volunteer, coordinator):
    came = plan.comes(volunteer)
    plan.comes(coordinator, out_at=at("12:00"), how_known="measured")
    volunteer.does("attendance", "void", id=came.id, reason="wrong day")

    assert plan.does("finish", "close").state == "closed"


def test_a_closed_day_is_not_closed_again(plan, volunteer):
    plan.comes(volunteer, out_at=at("12:00"), how_known="measured")
    plan.does("finish", "close")

    with pytest.raises(DayNotClosable, match="This work day is closed"):
        plan.does("close")


def test_only_a_coordinator_closes_a_day(plan, volunteer):
    with pytest.raises(NotPermitted):
        volunteer.does("work_day", "close", id=plan.id)


def test_a_push_is_held_with_the_same_code_and_reasons(plan, coordinator, volunteer):
    plan.comes(volunteer)

    [result] = coordinator.pushes(sent("work_day", "close", id=plan.id)).results

    assert (result["outcome"], result["code"]) == ("held", "day_not_closable")
    assert [reason["code"] for reason in result["reasons"]] == ["state_wrong", "not_checked_out", "incident_not_asked"]


def test_a_batch_that_does_not_balance_keeps_the_day_open_and_says_by_how_much(plan, coordinator):
    ground = lay_out(coordinator)
    batch = ground.batch(work_day=plan.id, mixed_at=at("9:00"))
    other = ground.batch(work_day=plan.id, mixed_at=at("9:00"))
    session = ground.session(started_at=at("9:30"), ended_at=at("11:00"))
    ground.line(session, batch, "38", how_known="measured")
    ground.line(session, other, "64")
    ground.leftover(batch, "24", kept_where="shed", measured_at=at("12:00"))
    plan.comes(coordinator, out_at=at("12:00"), how_known="measured")
    plan.does("finish")

    with pytest.raises(DayNotClosable) as refused:
        plan.does("close")

    (reason,) = refused.value.facts["reasons"]
    assert (reason["code"], reason["where"]) == ("batch_does_not_balance", f"batches/{batch}")
    assert "2 US fluid ounces are missing" in reason["detail"]
    coordinator.does("batch", "close", id=batch, closed_at=at("13:00"), reason="the can was knocked over")
    assert plan.does("close").state == "closed"


def test_a_bottle_that_is_out_and_one_that_stands_in_no_line_keep_a_day_open(plan, coordinator, volunteer):
    plan.comes(volunteer, out_at=at("12:00"), how_known="measured")
    plan.does("finish")
    ground = lay_out(coordinator)
    batch, session = ground.batch(), ground.session(ended_at=at("12:00"))
    out = taken_out(ground, batch, number="3", by=volunteer, work_day=plan.id)
    back = used(ground, batch, number="4", work_day=plan.id)
    full = used(ground, batch, back="16", number="5", work_day=plan.id)

    with pytest.raises(DayNotClosable) as refused:
        plan.does("close")

    reasons = [(reason["code"], reason["where"]) for reason in refused.value.facts["reasons"]]
    assert reasons == [
        ("container_not_back", f"containers/{out.id}"),
        ("container_not_shared", f"containers/{back}"),
    ]
    assert "Bottle 3 of Tobias Quill has not come back. Enter what came back in it." in str(refused.value)
    assert "What was used of bottle 4 of Maren Oduya stands in no line. Say where it went." in str(refused.value)
    assert str(full) not in str(reasons)

    came_back(ground, out.id, "16")
    shared(ground, back, session, line(ground))

    assert plan.does("close").state == "closed"


def test_a_voided_bottle_keeps_no_day_open(plan, coordinator, volunteer):
    plan.comes(volunteer, out_at=at("12:00"), how_known="measured")
    plan.does("finish")
    ground = lay_out(coordinator)
    out = taken_out(ground, ground.batch(), work_day=plan.id)
    coordinator.does("container", "void", id=out.id, reason="typed twice")

    assert plan.does("close").state == "closed"
