"""One call lists every reason: what is kept of the day beside the work, leftovers and records under their rules."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.closeout.queries import what_is_open
from stewardship.closeout.services import DayNotClosable
from stewardship.journal.models import Revision
from stewardship.treatments.models import Batch
from stewardship.workdays.models import Attendance
from tests.cast import AT, sent
from tests.ground import lay_out
from tests.planning import Plan, at
from tests.stewardship.catalog.profiles.entries import rule_profile

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan(coordinator):
    plan = Plan(coordinator)
    plan.does("open")
    return plan


def codes(plan):
    return [reason["code"] for reason in what_is_open(plan.coordinator.actor, plan.day, AT)]


def test_completing_with_an_open_batch_is_refused_and_names_the_batch(plan, coordinator):
    batch = lay_out(coordinator).batch(work_day=plan.id, mixed_at=at("9:00"))
    plan.comes(coordinator, out_at=at("12:00"), how_known="measured")
    plan.does("finish")

    with pytest.raises(DayNotClosable) as refused:
        plan.does("close")

    (reason,) = refused.value.facts["reasons"]
    assert (reason["code"], reason["where"]) == ("batch_does_not_balance", f"batches/{batch}")
    assert "64 US fluid ounces" in reason["detail"]


def test_one_call_lists_every_reason_and_reading_them_tries_nothing(plan, coordinator, volunteer, other_volunteer):
    ground = lay_out(coordinator)
    batch = ground.batch(work_day=plan.id, mixed_at=at("9:00"))
    ground.leftover(batch, "60", measured_at=at("12:00"), work_day=plan.id)
    ground.session(work_day=plan.id, started_at=at("9:30"), ended_at=None, unit=plan.unit)
    plan.comes(volunteer)
    briefing = coordinator.does("briefing", "create", work_day=plan.id, held_at=at("9:05")).record.id
    coordinator.does("briefing_signature", "create", briefing=briefing, signed_at=at("9:06"))
    put = {"property": plan.property, "work_day": plan.id, "text": "Keep off", "put_up_at": at("9:00")}
    volunteer.does("posting", "create", **put)
    told = {"property": plan.property, "work_day": plan.id, "what": "spill", "happened_at": at("10:00")}
    other_volunteer.does("incident", "create", **told, words="A cup tipped over.")

    found = codes(plan)

    assert found == [
        "state_wrong", "not_checked_out", "session_not_ended", "batch_does_not_balance", "leftover_nowhere",
        "sign_still_up", "briefing_not_signed", "incident_unanswered",
    ]  # fmt: skip
    with pytest.raises(DayNotClosable) as refused:
        coordinator.does("work_day", "close", id=plan.id)
    assert refused.value.facts["reasons"] == what_is_open(coordinator.actor, plan.day, AT)
    assert plan.day.state == "open"


def test_a_leftover_that_is_kept_somewhere_known_is_stock_and_keeps_no_day_open(plan, coordinator):
    ground = lay_out(coordinator)
    batch = ground.batch(work_day=plan.id, mixed_at=at("9:00"))
    nowhere = ground.leftover(batch, "64", measured_at=at("12:00"))
    assert codes(plan).count("leftover_nowhere") == 1

    coordinator.does("leftover", "amend", id=nowhere, kept_where="Locked cabinet", reason="left out at first")

    assert "leftover_nowhere" not in codes(plan)
    assert Batch.objects.get(id=batch).closed_at is None


def used(plan, coordinator, **values):
    """Record one line of the day, in a session that says nothing beyond its times."""
    ground = lay_out(coordinator)
    batch = ground.batch(work_day=plan.id, mixed_at=at("9:00"))
    session = ground.session(work_day=plan.id, started_at=at("9:30"), ended_at=at("11:00"), unit=plan.unit, **values)
    ground.line(session, batch, "64")
    return session


def test_a_record_that_lacks_what_a_rule_asks_for_keeps_the_day_open_until_it_is_told(plan, coordinator):
    rule_profile(coordinator, name="Wind by the hour", required=["wind_speed"], conditional=[], jurisdiction="")
    session = used(plan, coordinator)
    assert codes(plan).count("record_incomplete") == 1
    (reason,) = [r for r in what_is_open(coordinator.actor, plan.day, AT) if r["code"] == "record_incomplete"]
    assert (reason["where"], "Wind by the hour" in reason["detail"]) == (f"sessions/{session}", True)

    reading = {"at": at("9:30"), "wind_speed": {"value": "4", "unit": "mph"}, "wind_direction": "sw"}
    coordinator.does("session", "amend", id=session, reason="left out at first", weather=[reading])

    assert "record_incomplete" not in codes(plan)


def test_what_nobody_knows_any_more_stays_unknown_and_the_day_is_closed_with_the_reason(plan, coordinator):
    rule_profile(coordinator, name="Wind by the hour", required=["wind_speed"], conditional=[], jurisdiction="")
    used(plan, coordinator)
    plan.comes(coordinator)
    plan.does("finish")
    plan.answers()

    with pytest.raises(DayNotClosable) as refused:
        plan.does("close", reason="nobody read the wind")
    assert [reason["code"] for reason in refused.value.facts["reasons"]] == ["not_checked_out"]

    came = Attendance.objects.get(work_day_id=plan.id)
    coordinator.does("attendance", "check_out", id=came.id, out_at=at("12:00"), how_known="estimated")
    with pytest.raises(DayNotClosable):
        plan.does("close")
    plan.does("close", reason="nobody read the wind")
    assert Revision.objects.get(record_id=plan.id, op="close").reason == "nobody read the wind"


def test_a_record_of_the_same_push_is_judged_once_it_stands_in_the_book(plan, coordinator):
    used(plan, coordinator)
    plan.comes(coordinator, out_at=at("12:00"), how_known="measured")
    plan.does("finish")
    plan.answers()
    session = used(plan, coordinator)

    taken = coordinator.pushes(
        sent("session", "amend", {"note": "seen again", "reason": "left out"}, id=session),
        sent("work_day", "close", id=plan.id),
        sent("work_day", "close", id=plan.id),
    )

    assert [r.get("code", r["outcome"]) for r in taken.results] == ["applied"] + ["day_not_closable"] * 2
    assert [reason["code"] for reason in taken.results[1]["reasons"]] == ["record_not_judged"]
    assert plan.does("close").state == "closed"


def test_closing_one_day_and_six_costs_the_same_statements(coordinator, volunteer):
    days = [_kept(coordinator, volunteer) for _ in range(7)]

    def closing(some):
        with CaptureQueriesContext(connection) as seen:
            taken = coordinator.pushes(*(sent("work_day", "close", id=plan.id) for plan in some))
        assert {result["outcome"] for result in taken.results} == {"applied"}
        return len(seen)

    coordinator.pushes(sent("work_day", "open", id=days[0].id))
    assert closing(days[:1]) == closing(days[1:])


def _kept(coordinator, volunteer):
    plan = Plan(coordinator)
    plan.does("open")
    used(plan, coordinator)
    plan.comes(volunteer, out_at=at("12:00"), how_known="measured")
    briefing = coordinator.does("briefing", "create", work_day=plan.id, held_at=at("9:05")).record.id
    volunteer.does("briefing_signature", "create", briefing=briefing, signed_at=at("9:06"))
    put = {"property": plan.property, "work_day": plan.id, "text": "Keep off", "put_up_at": at("9:00")}
    sign = volunteer.does("posting", "create", **put).record.id
    volunteer.does("posting", "take_down", id=sign, taken_down_at=at("13:00"))
    plan.does("finish")
    plan.answers()
    return plan
