"""A date or time that no engine keeps alike is refused with its place, and never stops a whole push."""

import pytest

from stewardship.errors import Unreadable
from stewardship.workdays.models import Attendance
from tests.cast import sent
from tests.planning import Plan, at

ABSURD = [
    "0001-01-01T00:00:00+14:00",
    "9999-12-31T23:59:59-12:00",
    "1899-12-31T23:59:59Z",
    "3000-01-01T00:00:00Z",
    "2027-07-01T09:00:00+15:01",
    "2027-07-01T09:00:00-23:59",
]


@pytest.fixture
def plan(coordinator):
    plan = Plan(coordinator)
    plan.does("open")
    return plan


@pytest.mark.parametrize("moment", ABSURD)
def test_a_time_that_cannot_be_meant_is_refused_with_its_place(plan, volunteer, moment):
    with pytest.raises(Unreadable) as refused:
        volunteer.does("attendance", "create", work_day=plan.id, in_at=moment)

    assert [error["pointer"] for error in refused.value.facts["errors"]] == ["/in_at"]


@pytest.mark.parametrize("on", ["1899-12-31", "3000-01-01", "0001-01-01"])
def test_a_date_that_cannot_be_meant_is_refused_with_its_place(coordinator, on):
    with pytest.raises(Unreadable) as refused:
        Plan(coordinator, on_date=on, starts_at=None, ends_at=None)

    assert [error["pointer"] for error in refused.value.facts["errors"]] == ["/on_date"]


@pytest.mark.parametrize("moment", ["1900-01-01T00:00:00Z", "2999-12-31T23:59:59Z", "2027-07-01T23:00:00+14:00"])
def test_the_bounds_themselves_are_taken(plan, volunteer, moment):
    assert volunteer.does("attendance", "create", work_day=plan.id, in_at=moment)


def test_every_absurd_time_of_a_push_is_held_and_the_rest_is_applied(plan, volunteer):
    times = [*ABSURD, at("9:00")]
    mutations = [sent("attendance", "create", {"work_day": str(plan.id), "in_at": moment}) for moment in times]

    taken = volunteer.pushes(*mutations)

    assert [result["outcome"] for result in taken.results] == ["held"] * len(ABSURD) + ["applied"]
    assert Attendance.objects.count() == 1
