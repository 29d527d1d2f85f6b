"""Signs that should have come down and incidents that nobody answered: who is told, when, once."""

from datetime import datetime, timedelta

import pytest

from stewardship.accounts.models import Group
from stewardship.notices.rounds import read_round
from stewardship.workdays.overdue import past_their_time
from tests.planning import at
from tests.stewardship.workdays.test_incidents import clock, reports

HAPPENED = datetime.fromisoformat(at("10:00"))
HOUR = timedelta(hours=1)


def told(cast, moment):
    """Return who is told at a moment, and under which keys."""
    found = list(past_their_time(read_round(Group.objects.get(id=cast.group.id), moment)))
    names = {cast.volunteer.member.id: "V", cast.other_volunteer.member.id: "L", cast.coordinator.member.id: "C"}
    assert {due.kind for due in found} <= {"overdue"}
    assert len({(due.member_id, due.key) for due in found}) == len(found)
    return sorted(names[due.member_id] for due in found)


def words(cast, moment):
    """Return what the first one is told at a moment."""
    return next(iter(past_their_time(read_round(Group.objects.get(id=cast.group.id), moment)))).text


@pytest.fixture
def led(cast, plan):
    """Let the other volunteer lead the day."""
    cast.coordinator.does("work_day", "amend", id=plan.id, leader=cast.other_volunteer.member.id)
    return plan


def test_who_put_a_sign_up_and_the_leader_are_told_then_the_coordinators(cast, led):
    sign = cast.volunteer.does(
        "posting", "create", property=led.property, work_day=led.id, text="Treated. Keep out.", put_up_at=at("10:00"),
        put_up_by=cast.volunteer.member.id, due_down_at=at("10:00", "2027-07-02"),
    ).record.id  # fmt: skip
    due = HAPPENED + 24 * HOUR

    assert told(cast, due - HOUR) == []
    assert told(cast, due + HOUR) == ["L", "V"]
    assert told(cast, due + 25 * HOUR) == ["C", "L", "V"]

    cast.volunteer.does("posting", "take_down", id=sign, taken_down_at=at("11:00", "2027-07-02"))
    assert told(cast, due + 26 * HOUR) == []


def test_an_incident_past_its_clock_comes_to_the_leader_and_the_coordinators(cast, led):
    clock(cast.coordinator)
    incident = reports(cast.volunteer, led)

    assert told(cast, HAPPENED + 24 * HOUR) == []
    assert told(cast, HAPPENED + 25 * HOUR) == ["C", "L"]
    said = (
        "It happened on Thursday 1 July 2027, 10:00. Whoever has to be told of it was to be told by Friday 2 July 2027,"
    )
    assert said in words(cast, HAPPENED + 25 * HOUR)

    notified = {"whom": "tribal programme", "told_at": at("9:00", "2027-07-02"), "how": "by telephone"}
    cast.volunteer.does("incident", "notify", id=incident, **notified)
    assert told(cast, HAPPENED + 50 * HOUR) == []


def test_an_incident_without_a_clock_is_asked_about_after_two_days(cast, led):
    reports(cast.volunteer, led)

    assert told(cast, HAPPENED + 47 * HOUR) == []
    assert told(cast, HAPPENED + 48 * HOUR) == ["C", "L"]
    assert "No time to report it is on record." in words(cast, HAPPENED + 48 * HOUR)


def test_looking_costs_the_same_for_one_and_for_many(cast, led, django_assert_num_queries):
    clock(cast.coordinator)
    for _ in range(3):
        reports(cast.volunteer, led)
    round = read_round(Group.objects.get(id=cast.group.id), HAPPENED + 25 * HOUR)
    _ = round.coordinators

    with django_assert_num_queries(5):
        assert len(list(past_their_time(round))) == 6
