"""What a group checks before it takes the planning of work days into use, one test for each thing."""

import pytest

from stewardship.places.models import Property
from stewardship.reports.figures import season_figures
from stewardship.reports.models import Season
from stewardship.workdays.models import SignUp
from stewardship.workdays.queries import people_and_hours
from stewardship.workdays.reasons import DayNotApproved, DayNotReady
from stewardship.workdays.states import StateWrong
from tests.planning import Plan, licence, task

SPRING = ("2027-04-01", "2027-10-31")


def codes(refused):
    return [reason["code"] for reason in refused.value.facts["reasons"]]


def test_a_work_day_on_an_unapproved_task_is_not_opened(plan, coordinator, volunteer):
    coordinator.does("group", "amend", id=coordinator.group_id, wants_approved_tasks=True)
    duty = plan.duty("cutter")

    with pytest.raises(DayNotApproved) as refused:
        plan.does("open")
    with pytest.raises(StateWrong):
        plan.takes(volunteer, duty)

    assert codes(refused) == ["task_missing"]
    plan.does("amend", task=str(task(coordinator, plan)))
    assert plan.does("open").state == "open"


def test_a_day_with_herbicide_is_not_confirmed_without_any_valid_applicator(plan, coordinator, volunteer):
    plan.does("open")
    duty = plan.duty(wanted=1)
    with pytest.raises(DayNotReady) as nobody:
        plan.does("confirm")
    held = licence(coordinator, volunteer, "2027-12-31")
    plan.takes(volunteer, duty)
    coordinator.does("credential", "amend", id=held, reason="read off the card", expires_on="2027-06-30")
    with pytest.raises(DayNotReady) as lapsed:
        plan.does("confirm")

    assert codes(nobody) == ["applicator_missing", "duty_short"]
    assert codes(lapsed) == ["credential_expired"]
    assert plan.day.state == "open"


def test_a_cancelled_day_has_zero_hours_and_is_counted_in_the_report(plan, coordinator, volunteer):
    plan.does("open")
    plan.takes(volunteer, plan.duty("cutter"))
    plan.does("cancel", reason="storm")
    with pytest.raises(StateWrong):
        plan.comes(volunteer)
    season = coordinator.does("season", "create", name="2027", first_on=SPRING[0], last_on=SPRING[1]).record

    property_ = Property.objects.get(id=plan.property)
    figures = season_figures(property_, Season.objects.get(id=season.id))
    told = people_and_hours(property_, season.first_on, season.last_on).figures()

    assert told["work_days"] == {"cancelled": 1}
    assert (told["attendance"]["known_s"], told["attendance"]["people"]) == (0, 0)
    assert "'cancelled': 1" in str(figures)


def test_a_day_takes_as_many_as_it_wants_and_the_next_in_line_comes_after(coordinator, volunteer, other_volunteer):
    plan = Plan(coordinator, herbicide_planned=False, capacity=1)
    plan.does("open")
    duty = plan.duty("cutter", 5)
    first, second, third = (plan.takes(who, duty) for who in (volunteer, other_volunteer, coordinator))

    volunteer.does("sign_up", "withdraw", id=first)

    waits = {s.id: s.is_waiting for s in SignUp.objects.filter(withdrawn_at=None)}
    assert waits == {second: False, third: True}


def test_a_confirmed_day_that_loses_its_applicator_is_not_confirmed_in_silence(plan, volunteer, coordinator):
    """It stays confirmed, since people were told so, and is listed as lacking somebody until it is settled."""
    from stewardship.journal.book import Entry
    from stewardship.workdays.readiness import lacking
    from tests.cast import AT

    plan.staffed(volunteer).does("confirm")
    volunteer.does("sign_up", "withdraw", id=SignUp.objects.get().id)

    entry = Entry(group_id=coordinator.group_id, by=coordinator.actor, at=AT)
    entry.load_lists(SignUp, "work_day_id", [plan.id])
    assert [reason["code"] for reason in lacking(entry, plan.day)] == ["applicator_missing", "duty_short"]
