"""Nobody unqualified is signed up or confirmed: by duty, by what the duty names itself, with herbicide or without."""

import pytest

from stewardship.workdays.reasons import DayNotReady, NotQualified
from tests.credentials import enters, kind
from tests.planning import Plan


@pytest.fixture
def by_hand(coordinator):
    """Give an open day without herbicide."""
    plan = Plan(coordinator, herbicide_planned=False)
    plan.does("open")
    return plan


def codes_when(refusal, act):
    with pytest.raises(refusal) as refused:
        act()
    return [reason["code"] for reason in refused.value.facts["reasons"]]


@pytest.mark.parametrize(("duty", "covers"), [("sawyer", "saw"), ("burn_boss", "burning")])
def test_saw_and_fire_take_their_card_on_a_day_without_herbicide(by_hand, coordinator, volunteer, duty, covers):
    id = by_hand.duty(duty)
    assert codes_when(NotQualified, lambda: by_hand.takes(volunteer, id)) == ["credential_missing"]

    enters(coordinator, volunteer, kind(coordinator, covers=covers))

    assert by_hand.takes(volunteer, id)
    assert by_hand.does("confirm").state == "confirmed"


def test_lapsed_first_aid_makes_the_saw_card_unusable(by_hand, coordinator, volunteer):
    id = by_hand.duty("sawyer")
    enters(coordinator, volunteer, kind(coordinator, covers="saw", needs=["first_aid"]))
    first_aid = enters(coordinator, volunteer, kind(coordinator, covers="first_aid"))
    by_hand.takes(volunteer, id)

    coordinator.does("credential", "amend", id=first_aid.id, issued_on="2025-06-30", reason="misread")

    assert codes_when(DayNotReady, lambda: by_hand.does("confirm")) == ["credential_needs_lapsed"]
    came = by_hand.comes(volunteer)
    assert "credential_needs_lapsed" in [mark["code"] for mark in came.marks]


def test_a_pending_licence_does_not_put_anybody_on_the_duty(coordinator, volunteer):
    """Illinois: nothing is applied before the certificate arrives. Source: Illinois Section 250.22 FAQ."""
    plan = Plan(coordinator)
    plan.does("open")
    id = plan.duty()
    held = enters(coordinator, volunteer, kind(coordinator), received_on=None)
    assert codes_when(NotQualified, lambda: plan.takes(volunteer, id)) == ["credential_pending"]

    coordinator.does("credential", "amend", id=held.id, received_on="2027-07-01", reason="it came")

    assert plan.takes(volunteer, id)


def test_a_certificate_for_another_land_is_refused_with_its_name(coordinator, volunteer):
    plan = Plan(coordinator)
    plan.does("open")
    other = coordinator.does("property", "create", name="Otter Flats").record.id
    enters(coordinator, volunteer, kind(coordinator, names_properties=True), properties=[str(other)])

    with pytest.raises(NotQualified, match="Heron Bend is not one of them"):
        plan.takes(volunteer, plan.duty())


def test_a_duty_names_kinds_of_credentials_of_its_own(by_hand, coordinator, volunteer):
    training = kind(coordinator, covers="training", name="Steep ground training")
    id = by_hand.duty("hauler", needs=[str(training)])
    enters(coordinator, volunteer, kind(coordinator, covers="training", name="Another training"))
    assert codes_when(NotQualified, lambda: by_hand.takes(volunteer, id)) == ["credential_missing"]

    enters(coordinator, volunteer, training)

    assert by_hand.takes(volunteer, id)


def test_a_duty_that_asks_more_later_is_judged_by_it_at_confirming(by_hand, coordinator, volunteer):
    id = by_hand.duty("hauler")
    by_hand.takes(volunteer, id)
    training = kind(coordinator, covers="training")

    coordinator.does("duty", "amend", id=id, needs=[str(training)])

    assert codes_when(DayNotReady, lambda: by_hand.does("confirm")) == ["credential_missing"]
