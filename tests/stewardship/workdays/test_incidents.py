"""Incidents: anybody reports one, who was hurt is the coordinators', clocks run in absolute time."""

from datetime import datetime, timedelta

import orjson
import pytest

from stewardship.accounts.models import Group
from stewardship.closeout.queries import what_is_open
from stewardship.errors import NotPermitted
from stewardship.sync.pull import pull
from stewardship.workdays.clocks import running
from stewardship.workdays.models import Incident, IncidentDetails
from tests.cast import AT
from tests.planning import at

pytestmark = pytest.mark.django_db

A_DAY = {"what": "incident_clock", "title": "Within 24 hours", "clock": {"kind": "hours", "count": 24}}


def clock(coordinator, **values):
    told = A_DAY | {"source": "Saint Regis Mohawk Tribe code 5.04.130"} | values
    return coordinator.does("practice", "create", **told).record.id


def reports(someone, plan, **values):
    told = {
        "property": plan.property, "work_day": plan.id, "what": "spill", "happened_at": at("10:00"),
        "words": "A jug tipped over on the trail.", "first_action": "Soaked up with cat litter.",
    }  # fmt: skip
    return someone.does("incident", "create", **told | values).record.id


def states(coordinator, moment):
    group = Group.objects.get(id=coordinator.group_id)
    return [(each.practice.title, each.standing.state) for each in running(group, moment)]


def pulled(someone):
    lines = pull(None, actor=someone.actor, server_time="now").splitlines()
    return [each for each in map(orjson.loads, lines) if each["k"] == "put"]


def test_an_incident_under_a_24_h_rule_that_nobody_was_told_of_is_overdue_at_25_h(plan, coordinator, volunteer):
    clock(coordinator)
    incident = reports(volunteer, plan)
    happened = datetime.fromisoformat(at("10:00"))

    assert states(coordinator, happened + timedelta(hours=24)) == [("Within 24 hours", "open")]
    assert states(coordinator, happened + timedelta(hours=25)) == [("Within 24 hours", "overdue")]

    told = {"whom": "tribal programme", "told_at": at("9:00", "2027-07-02"), "how": "by telephone"}
    volunteer.does("incident", "notify", id=incident, **told)
    assert states(coordinator, happened + timedelta(hours=25)) == [("Within 24 hours", "in_time")]


@pytest.mark.parametrize(("day", "offset"), [("2027-03-13", "-06:00"), ("2027-11-06", "-05:00")])
def test_a_clock_of_hours_is_neither_longer_nor_shorter_over_a_change_of_summer_time(
    plan, coordinator, volunteer, day, offset
):
    """Chicago goes to summer time on 14 March 2027 and back on 7 November 2027, at two o'clock (tz database)."""
    clock(coordinator)
    happened = datetime.fromisoformat(f"{day}T20:00:00{offset}")
    reports(volunteer, plan, work_day=None, happened_at=happened.isoformat())

    assert states(coordinator, happened + timedelta(hours=24)) == [("Within 24 hours", "open")]
    assert states(coordinator, happened + timedelta(hours=24, seconds=1)) == [("Within 24 hours", "overdue")]


def test_a_clock_of_working_days_leaves_out_the_weekend(plan, coordinator, volunteer):
    clock(coordinator, title="One working day", clock={"kind": "working_days", "count": 1})
    reports(volunteer, plan, work_day=None, happened_at=at("10:00", "2027-07-02"))

    assert states(coordinator, datetime.fromisoformat(at("23:59", "2027-07-05"))) == [("One working day", "open")]
    assert states(coordinator, datetime.fromisoformat(at("0:00", "2027-07-06"))) == [("One working day", "overdue")]


def test_a_clock_of_a_place_runs_there_alone_and_one_of_no_place_where_the_group_goes_by_it(
    plan, coordinator, volunteer
):
    clock(coordinator, title="Arizona", jurisdiction="US-AZ", is_followed=False)
    clock(coordinator, title="Not ours", is_followed=False)
    clock(coordinator, title="Injuries", subject="injury")
    reports(volunteer, plan)
    assert states(coordinator, AT) == []

    coordinator.does("property", "amend", id=plan.property, jurisdiction="US-AZ")
    assert states(coordinator, AT) == [("Arizona", "open")]


def test_clocks_cost_the_same_statements_for_one_and_for_many(plan, coordinator, volunteer, django_assert_num_queries):
    clock(coordinator)
    group = Group.objects.get(id=coordinator.group_id)
    for count in (1, 5):
        for _ in range(count):
            reports(volunteer, plan)
        with django_assert_num_queries(2):
            running(group, AT)


def test_who_was_hurt_reaches_the_coordinators_alone_whoever_wrote_it(plan, coordinator, volunteer, reviewer):
    incident = reports(volunteer, plan, what="injury")
    details = volunteer.does(
        "incident_details", "create", incident=incident, who="Ines", health="Cut a hand; dressed on the spot."
    ).record.id

    assert IncidentDetails.objects.get(id=details).audience() == "coordinators"
    for someone, sees in ((coordinator, True), (volunteer, False), (reviewer, False)):
        kinds = {each["t"] for each in pulled(someone)}
        assert ("incident_details" in kinds, "incident" in kinds) == (sees, True)
        assert b"Cut a hand" not in pull(None, actor=someone.actor, server_time="now") or sees
    with pytest.raises(NotPermitted):
        volunteer.does("incident_details", "amend", id=details, health="nothing", reason="x")


def test_an_incident_keeps_the_day_open_until_it_is_answered(plan, coordinator, volunteer):
    def codes():
        found = [reason["code"] for reason in what_is_open(coordinator.actor, plan.day, AT)]
        return [code for code in found if code.startswith("incident")]

    assert codes() == ["incident_not_asked"]
    plan.answers(had_incident=True)
    assert codes() == ["incident_not_told"]
    incident = reports(volunteer, plan)
    assert codes() == ["incident_unanswered"]
    coordinator.does("incident", "answer", id=incident, answered_at=at("14:00"), answer="The soil was dug out.")
    assert codes() == []
    coordinator.does("incident", "reopen", id=incident, reason="it smells again")
    assert codes() == ["incident_unanswered"]


def test_a_report_after_nothing_went_wrong_was_said_corrects_the_answer(plan, volunteer):
    plan.answers()
    reports(volunteer, plan)

    assert plan.day.had_incident is True


def test_whom_one_told_is_kept_in_order_and_once(plan, volunteer):
    incident = reports(volunteer, plan)
    told = {"whom": "the landowner", "told_at": at("10:30"), "how": "by telephone"}
    for each in (told, told, told | {"whom": "the county"}):
        volunteer.does("incident", "notify", id=incident, **each)

    assert [each["whom"] for each in Incident.objects.get(id=incident).notified] == ["the landowner", "the county"]
