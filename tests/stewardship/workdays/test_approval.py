"""A day is opened and confirmed for what was approved; refused, every reason is told."""

import pytest

from stewardship.errors import NotPermitted, ReasonMissing
from stewardship.workdays.models import ApprovedTask
from stewardship.workdays.reasons import DayNotApproved, DayNotReady
from tests.planning import Plan, task


@pytest.fixture
def wanting(coordinator):
    """Let the group want an approved task for every day."""
    coordinator.does("group", "amend", id=coordinator.group_id, wants_approved_tasks=True)


def codes(refused):
    return [reason["code"] for reason in refused.value.facts["reasons"]]


def species(coordinator, name):
    return str(coordinator.does("species", "create", scientific_name=name).record.id)


def test_a_day_on_an_unapproved_task_is_not_opened(wanting, plan):
    with pytest.raises(DayNotApproved) as refused:
        plan.does("open")

    assert codes(refused) == ["task_missing"]
    assert plan.day.state == "draft"


def test_a_day_on_an_approved_task_is_opened(wanting, plan, coordinator):
    plan.does("amend", task=str(task(coordinator, plan)))

    assert plan.does("open").state == "open"


def test_a_group_that_wants_none_opens_a_day_without_a_task(plan):
    assert plan.does("open").state == "open"


def test_every_reason_is_told_at_once(plan, coordinator):
    east = coordinator.does("unit", "create", property=plan.property, name="East").record.id
    kept = task(
        coordinator, plan, units=[str(east)], herbicide=False, methods=["pulling"], from_on="2027-03-01",
        to_on="2027-06-30",
    )  # fmt: skip
    coordinator.does("approved_task", "withdraw", id=kept, reason="nesting herons")
    plan.does("amend", task=str(kept), methods=["cut_stump", "pulling"])

    with pytest.raises(DayNotApproved) as refused:
        plan.does("open")

    assert codes(refused) == [
        "task_withdrawn", "task_other_unit", "task_out_of_season", "task_without_herbicide", "task_other_method",
    ]  # fmt: skip
    assert "nesting herons" in str(refused.value)
    assert "cut-stump" in str(refused.value)
    assert {reason["where"] for reason in refused.value.facts["reasons"]} == {f"approved-tasks/{kept}"}


@pytest.mark.parametrize(
    ("first_on", "last_on", "is_open"),
    [
        ("2027-07-01", "2027-07-01", True),
        ("2027-07-02", "2027-10-31", False),
        ("2027-03-01", "2027-06-30", False),
        ("2027-03-01", None, True),
    ],
)
def test_the_first_and_the_last_day_of_the_season_count(plan, coordinator, first_on, last_on, is_open):
    plan.does("amend", task=str(task(coordinator, plan, from_on=first_on, to_on=last_on)))

    if is_open:
        assert plan.does("open").state == "open"
    else:
        with pytest.raises(DayNotApproved) as refused:
            plan.does("open")
        assert codes(refused) == ["task_out_of_season"]


def test_a_day_that_names_no_unit_is_not_covered_by_a_task_for_some(coordinator):
    plan = Plan(coordinator, units=[], herbicide_planned=False)
    plan.does("amend", task=str(task(coordinator, plan, units=[str(plan.unit)])))

    with pytest.raises(DayNotApproved) as refused:
        plan.does("open")
    assert codes(refused) == ["task_other_unit"]


def test_a_species_that_was_not_approved_stands_in_the_way(plan, coordinator):
    buckthorn, honeysuckle = species(coordinator, "Rhamnus cathartica"), species(coordinator, "Lonicera maackii")
    plan.does("amend", task=str(task(coordinator, plan, species=[buckthorn])), species=[buckthorn, honeysuckle])

    with pytest.raises(DayNotApproved) as refused:
        plan.does("open")
    assert codes(refused) == ["task_other_species"]

    assert plan.does("amend", species=[buckthorn]).species == [buckthorn]
    assert plan.does("open").state == "open"


def test_a_task_that_is_withdrawn_after_the_day_was_opened_stops_confirming(plan, coordinator, volunteer):
    kept = task(coordinator, plan)
    plan.does("amend", task=str(kept))
    plan.staffed(volunteer)
    coordinator.does("approved_task", "withdraw", id=kept, reason="the owner sold")

    with pytest.raises(DayNotReady) as refused:
        plan.does("confirm")
    assert codes(refused) == ["task_withdrawn"]

    coordinator.does("approved_task", "reinstate", id=kept)
    assert plan.does("confirm").state == "confirmed"


def test_a_confirmed_day_is_not_given_a_task_that_does_not_cover_it(plan, coordinator, volunteer):
    plan.staffed(volunteer).does("confirm")
    winter = task(coordinator, plan, from_on="2027-11-01", to_on="2027-12-31")

    with pytest.raises(DayNotReady) as refused:
        plan.does("amend", task=str(winter))

    assert codes(refused) == ["task_out_of_season"]
    assert plan.day.task_id is None


def test_an_approval_is_kept_with_who_gave_it(plan, coordinator, reviewer):
    kept = task(
        coordinator, plan, approved_by="", approver=str(reviewer.member.id), units=[str(plan.unit)] * 2,
        document="Minutes of 1 February, item 4",
    )  # fmt: skip

    found = ApprovedTask.objects.get(id=kept)

    assert (found.approver_id, found.units) == (reviewer.member.id, [str(plan.unit)])
    assert coordinator.does("approved_task", "withdraw", id=kept, reason="x").result["outcome"] == "applied"
    assert coordinator.does("approved_task", "withdraw", id=kept, reason="x").result["outcome"] == "noop"


def test_withdrawing_says_why_and_takes_a_coordinator(plan, coordinator, volunteer):
    kept = task(coordinator, plan)

    with pytest.raises(ReasonMissing):
        coordinator.does("approved_task", "withdraw", id=kept)
    with pytest.raises(NotPermitted):
        volunteer.does("approved_task", "withdraw", id=kept, reason="x")
    with pytest.raises(NotPermitted):
        task(volunteer, plan)
