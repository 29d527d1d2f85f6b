"""Once a night series go on and free places are given, whoever looks and however often."""

from datetime import UTC, datetime, timedelta

import pytest

from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job
from stewardship.journal.models import Revision
from stewardship.notices.models import Notice
from stewardship.workdays.models import SignUp, WorkDay
from stewardship.workdays.services.nightly import EXTEND, FILL, ask_nightly, extend_one_series, fill_places_of_day
from tests.planning import Plan, licence

KINDS = {EXTEND: extend_one_series, FILL: fill_places_of_day}
TWO_AT_HOME = datetime(2027, 6, 20, 7, 0, tzinfo=UTC)
"""Two in the morning by the clock of the group, in summer time (UTC-5)."""

pytestmark = pytest.mark.django_db(transaction=True)


def run_all(at):
    return [jobs.run(job.id, KINDS, at=at) for job in Job.objects.filter(kind__in=KINDS, state="queued")]


@pytest.fixture
def series(coordinator):
    property_ = coordinator.does("property", "create", name="Heron Bend").record.id
    told = {"title": "Saturdays", "rule": "FREQ=MONTHLY;BYDAY=2SA", "first_on": "2027-05-08", "starts": "09:00"}
    return coordinator.does("work_day_series", "create", property=property_, minutes=60, **told).record.id


def test_a_series_goes_on_in_the_night_in_the_name_of_who_planned_it(series, coordinator):
    before = WorkDay.objects.count()

    assert ask_nightly(TWO_AT_HOME - timedelta(minutes=1)) == 0
    assert ask_nightly(TWO_AT_HOME) == 1
    assert ask_nightly(TWO_AT_HOME + timedelta(hours=1)) == 0
    assert run_all(TWO_AT_HOME) == [True]

    assert WorkDay.objects.count() == before + 2, "13 November and 11 December lie within 180 days now"
    assert Job.objects.get(kind=EXTEND).result == {"series": str(series), "made": 2}
    made = Revision.objects.get(record_id=WorkDay.objects.order_by("-series_on")[0].id)
    assert (made.op, made.by_id) == ("extend", coordinator.person.id)
    assert ask_nightly(TWO_AT_HOME + timedelta(hours=2)) == 0
    assert ask_nightly(TWO_AT_HOME + timedelta(days=1)) == 1


def test_two_that_look_at_once_and_two_runs_make_no_day_twice(series):
    ask_nightly(TWO_AT_HOME)
    ask_nightly(TWO_AT_HOME)
    run_all(TWO_AT_HOME)
    ask_nightly(TWO_AT_HOME + timedelta(days=3))
    run_all(TWO_AT_HOME + timedelta(days=3))

    made = list(WorkDay.objects.values_list("series_on", flat=True))
    assert len(made) == len(set(made)) == 8


def test_an_ended_series_is_not_asked_for(series, coordinator):
    coordinator.does("work_day_series", "end", id=series, last_on="2027-06-19", reason="done")

    assert ask_nightly(TWO_AT_HOME) == 0


def test_who_was_passed_over_gets_the_free_place_once_their_credential_is_renewed(coordinator, volunteer):
    plan = Plan(coordinator)
    plan.does("open")
    duty = plan.duty()
    held = [licence(coordinator, someone, "2027-12-31") for someone in (coordinator, volunteer)]
    first, second = plan.takes(coordinator, duty), plan.takes(volunteer, duty)
    coordinator.does("credential", "amend", id=held[1], reason="misread", expires_on="2027-06-30")
    coordinator.does("sign_up", "withdraw", id=first)
    coordinator.does("credential", "amend", id=held[1], reason="renewed", expires_on="2028-06-30")
    assert SignUp.objects.get(id=second).is_waiting

    assert ask_nightly(TWO_AT_HOME) == 1
    run_all(TWO_AT_HOME)

    assert not SignUp.objects.get(id=second).is_waiting
    assert ask_nightly(TWO_AT_HOME + timedelta(days=1)) == 0


@pytest.mark.parametrize(("act", "moves_up"), [("end", True), ("suspend", False)])
def test_who_left_the_group_holds_no_place_and_who_is_suspended_keeps_theirs(coordinator, volunteer, act, moves_up):
    plan = Plan(coordinator, herbicide_planned=False)
    plan.does("open")
    duty = plan.duty("cutter")
    first, second = plan.takes(volunteer, duty), plan.takes(coordinator, duty)
    coordinator.does("member", act, id=volunteer.member.id, reason="so agreed")

    ask_nightly(TWO_AT_HOME)
    run_all(TWO_AT_HOME)

    assert bool(SignUp.objects.get(id=first).withdrawn_at) is moves_up
    assert SignUp.objects.get(id=second).is_waiting is not moves_up
    assert Notice.objects.filter(kind="moved_up", member_id=coordinator.member.id).count() == moves_up
