"""Confirming a day with herbicide takes qualified people; refused, every reason is told at once."""

import pytest

from stewardship.workdays.reasons import DayNotReady
from tests.cast import sent
from tests.planning import Plan, licence


def refused(plan):
    with pytest.raises(DayNotReady) as violation:
        plan.does("confirm")
    return violation.value


def codes(violation):
    return [reason["code"] for reason in violation.facts["reasons"]]


def test_every_reason_is_told_at_once(coordinator, volunteer, other_volunteer):
    plan = Plan(coordinator, units=[], herbicide_planned=False)
    plan.does("open")
    applicator, cutter = plan.duty(wanted=3), plan.duty("cutter", 4)
    licence(coordinator, volunteer, "2027-06-30")
    licence(coordinator, other_volunteer, "2027-12-31", received_on=None)
    for someone in (volunteer, other_volunteer):
        plan.takes(someone, applicator)
    plan.takes(coordinator, cutter)
    plan.does("amend", herbicide_planned=True)
    plan.does("amend", note="still open")

    violation = refused(plan)

    assert violation.code == "day_not_ready"
    assert codes(violation) == [
        "unit_missing", "credential_expired", "credential_pending", "duty_short", "duty_short",
    ]  # fmt: skip
    assert violation.facts["reasons"][1] == {
        "code": "credential_expired",
        "detail": "Tobias Quill: The herbicide credential QX-4471 ended on 30 June 2027."
        " It did not count on 1 July 2027.",
        "where": f"members/{volunteer.member.id}",
    }
    assert violation.facts["reasons"][3]["detail"] == "1 of 3 people are still wanted as applicator."
    assert violation.facts["reasons"][4] == {
        "code": "duty_short", "detail": "3 of 4 people are still wanted as cutter.", "where": f"duties/{cutter}",
    }  # fmt: skip
    assert all(reason["detail"] in str(violation) for reason in violation.facts["reasons"])
    assert plan.day.state == "open"


def test_a_draft_says_so_with_all_the_rest(plan):
    assert codes(refused(plan)) == ["state_wrong", "applicator_missing"]


def test_a_confirmed_day_is_not_confirmed_again(plan, volunteer):
    plan.staffed(volunteer).does("confirm")

    assert codes(refused(plan)) == ["state_wrong"]


def test_one_lapsed_applicator_is_a_reason_though_another_one_counts(plan, coordinator, volunteer, other_volunteer):
    held = licence(coordinator, other_volunteer, "2027-12-31")
    plan.staffed(volunteer)
    plan.takes(other_volunteer, plan.duty())
    coordinator.does("credential", "amend", id=held, reason="typing error", expires_on="2027-06-30", grace_days=30)

    assert codes(refused(plan)) == ["credential_in_grace"]


def test_who_withdrew_is_no_applicator(plan, coordinator, volunteer):
    licence(coordinator, volunteer, "2027-12-31")
    plan.does("open")
    id = plan.takes(volunteer, plan.duty())
    volunteer.does("sign_up", "withdraw", id=id)

    assert codes(refused(plan)) == ["applicator_missing", "duty_short"]


@pytest.mark.parametrize(("act", "told"), [("end", "left the group"), ("suspend", "is suspended")])
def test_who_left_or_is_suspended_is_no_applicator(plan, coordinator, volunteer, act, told):
    plan.staffed(volunteer)
    coordinator.does("member", act, id=volunteer.member.id, reason="so agreed")

    violation = refused(plan)

    assert codes(violation) == ["member_left"]
    assert violation.facts["reasons"][0]["detail"] == f"Tobias Quill {told}. Withdraw this sign-up."


def test_a_voided_licence_does_not_count(plan, coordinator, volunteer):
    held = licence(coordinator, volunteer, "2027-12-31")
    plan.does("open")
    plan.takes(volunteer, plan.duty())
    coordinator.does("credential", "void", id=held, reason="somebody else's card")

    assert codes(refused(plan)) == ["credential_missing"]


def test_a_day_without_herbicide_is_confirmed_with_the_people_it_has(coordinator):
    plan = Plan(coordinator, herbicide_planned=False, units=[])
    plan.duty("cutter", 6)

    assert plan.does("open", "confirm").state == "confirmed"


# -- the scene of the lapsed licence ---------------------------------------------------------------


@pytest.fixture
def only_holder(plan, coordinator, volunteer):
    """Give an open day on 1 July whose only applicator's licence is about to be found out."""

    def signs_up(expires_on):
        held = licence(coordinator, volunteer, "2027-12-31")
        plan.does("open")
        plan.takes(volunteer, plan.duty())
        coordinator.does("credential", "amend", id=held, reason="read off the card", expires_on=expires_on)
        return plan

    return signs_up


def test_a_licence_that_ended_on_30_june_does_not_confirm_1_july(only_holder):
    plan = only_holder("2027-06-30")

    assert codes(refused(plan)) == ["credential_expired"]


def test_without_herbicide_the_day_is_held(only_holder, volunteer):
    plan = only_holder("2027-06-30")
    refused(plan)

    plan.does("amend", herbicide_planned=False)

    assert plan.does("confirm").state == "confirmed"
    assert plan.comes(volunteer).marks == []


def test_a_licence_that_ends_on_1_july_confirms_1_july(only_holder):
    assert only_holder("2027-07-01").does("confirm").state == "confirmed"


def test_a_renewal_of_5_july_confirms_nothing_on_1_july(only_holder, coordinator, volunteer):
    plan = only_holder("2027-06-30")
    licence(coordinator, volunteer, "2029-06-30", number="QX-9001", issued_on="2027-07-05", received_on="2027-07-05")

    assert codes(refused(plan)) == ["credential_pending"]


def test_a_push_is_held_with_the_same_code_and_reasons(only_holder, coordinator):
    plan = only_holder("2027-06-30")

    [result] = coordinator.pushes(sent("work_day", "confirm", id=plan.id)).results

    assert (result["outcome"], result["code"]) == ("held", "day_not_ready")
    assert result["reasons"] == refused(plan).facts["reasons"]
