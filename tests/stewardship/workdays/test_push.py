"""A whole day comes in one push from a phone that had no signal."""

from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.journal.ids import new_id
from stewardship.workdays.models import Attendance, SignUp, WorkDay
from tests.cast import sent
from tests.planning import Plan, at, licence


def test_a_day_is_planned_staffed_held_and_closed_in_one_push(coordinator, volunteer):
    place, day, duty, came = (new_id() for _ in range(4))
    planned = {"id": str(day), "property": str(place), "title": "Pulling", "on_date": "2027-07-01"}
    helper = {"work_day": str(day), "member": str(volunteer.member.id)}

    taken = coordinator.pushes(
        sent("property", "create", {"id": str(place), "name": "Heron Bend"}),
        sent("work_day", "create", planned),
        sent("work_day", "open", id=day),
        sent("duty", "create", {"id": str(duty), "work_day": str(day), "name": "puller", "wanted": 1}),
        sent("sign_up", "create", helper | {"duty": str(duty)}),
        sent("sign_up", "create", {"work_day": str(day), "duty": str(duty)}),
        sent("work_day", "confirm", id=day),
        sent("attendance", "create", helper | {"id": str(came), "in_at": at("9:00")}),
        sent("work_day", "finish", id=day),
        sent("work_day", "close", id=day),
        sent("attendance", "check_out", {"out_at": at("12:00"), "how_known": "measured"}, id=came),
        sent("work_day", "answer", {"had_incident": False}, id=day),
        sent("work_day", "close", id=day),
    )

    told = [result.get("code", result["outcome"]) for result in taken.results]
    assert told == ["applied"] * 9 + ["day_not_closable"] + ["applied"] * 3
    assert WorkDay.objects.get().state == "closed"
    assert [s.is_waiting for s in SignUp.objects.order_by("number")] == [False, True]
    assert Attendance.objects.get().out_at is not None


def test_to_confirm_one_day_and_five_costs_the_same_statements(coordinator, volunteer, other_volunteer):
    people = [coordinator, volunteer, other_volunteer]
    for someone in people:
        licence(coordinator, someone, "2027-12-31")
    days = []
    for someone in people * 2:
        days.append(Plan(coordinator))
        days[-1].does("open")
        days[-1].takes(someone, days[-1].duty())
    coordinator.pushes(sent("work_day", "open", id=days[0].id))

    def confirming(some):
        with CaptureQueriesContext(connection) as seen:
            taken = coordinator.pushes(*(sent("work_day", "confirm", id=plan.id) for plan in some))
        assert {result["outcome"] for result in taken.results} == {"applied"}
        return len(seen)

    assert confirming(days[:1]) == confirming(days[1:])
