"""Age on the day against the duty, and a guardian's consent: plans are refused, facts marked."""

import pytest

from stewardship.sync.reference import load_reference
from stewardship.workdays.models import Duty, Practice, SignUp
from stewardship.workdays.reasons import DayNotReady, NotQualified
from tests.cast import AT
from tests.planning import ON, at, licence
from tests.signing import guardian_signs, waiver

pytestmark = pytest.mark.django_db

SEVENTEEN = {"born_on": "2009-07-02"}
"""Eighteen on the day after the work day."""
EIGHTEEN = {"born_on": "2009-07-01"}


@pytest.fixture
def opened(plan):
    plan.does("open")
    return plan


def told(someone, **values):
    return someone.does("personal_details", "create", **values).record.id


def reasons_of(refused):
    return [reason["code"] for reason in refused.value.facts["reasons"]]


def guardian_text(coordinator):
    return waiver(coordinator, what="guardian_consent", title="Guardian's consent", only_under_18=True)


def refused_as(plan, someone, duty):
    with pytest.raises(NotQualified) as refused:
        plan.takes(someone, duty)
    assert not SignUp.objects.filter(duty_id=duty).exists()
    return reasons_of(refused)


@pytest.mark.parametrize("name", ["applicator", "sawyer"])
def test_a_17_year_old_is_refused_as_applicator_and_as_sawyer(opened, coordinator, volunteer, name):
    """Scene of the trade: 18 for herbicide (federal rule, Illinois) and for power saws (a scouting guide)."""
    load_reference(coordinator.group_id, at=AT)
    licence(coordinator, volunteer, "2027-12-31")
    licence(coordinator, volunteer, "2027-12-31", covers="saw")
    told(volunteer, **SEVENTEEN)
    guardian_signs(coordinator, volunteer, guardian_text(coordinator))

    assert refused_as(opened, volunteer, opened.duty(name)) == ["too_young_for_duty"]


def test_on_the_18th_birthday_the_same_person_is_taken(opened, coordinator, volunteer):
    load_reference(coordinator.group_id, at=AT)
    licence(coordinator, volunteer, "2027-12-31")
    told(volunteer, **EIGHTEEN)

    opened.takes(volunteer, opened.duty("applicator"))


def test_a_17_year_old_hauls_with_a_guardians_consent_and_not_without(opened, coordinator, volunteer):
    told(volunteer, **SEVENTEEN)
    hauler = opened.duty("hauler")
    text = guardian_text(coordinator)

    assert refused_as(opened, volunteer, hauler) == ["guardian_consent_missing"]

    guardian_signs(coordinator, volunteer, text)
    opened.takes(volunteer, hauler)


def test_a_consent_that_ends_before_the_day_does_not_count_on_it(opened, coordinator, volunteer):
    told(volunteer, **SEVENTEEN)
    text = waiver(coordinator, what="guardian_consent", renewal="months", renew_months=2)
    guardian_signs(coordinator, volunteer, text, given_on="2027-04-30")

    assert refused_as(opened, volunteer, opened.duty("hauler")) == ["guardian_consent_missing"]


def test_an_age_that_is_not_on_record_is_refused_and_says_what_to_do(opened, volunteer):
    duty = opened.duty("cutter", minimum_age=16)

    assert refused_as(opened, volunteer, duty) == ["age_not_on_record"]

    told(volunteer, adult_from="2027-05-01")
    opened.takes(volunteer, duty)


def test_age_and_credential_are_told_together(opened, coordinator, volunteer):
    told(volunteer, **SEVENTEEN)
    duty = opened.duty("applicator", minimum_age=18)

    assert refused_as(opened, volunteer, duty) == [
        "credential_missing", "too_young_for_duty", "guardian_consent_missing",
    ]  # fmt: skip


def test_a_duty_takes_the_published_least_age_unless_it_states_one(opened, coordinator):
    load_reference(coordinator.group_id, at=AT)
    ages = {
        name: Duty.objects.get(id=opened.duty(name, **values)).minimum_age
        for name, values in (("applicator", {}), ("helper", {}), ("sawyer", {"minimum_age": 21}), ("hauler", {}))
    }

    assert ages == {"applicator": 18, "helper": 18, "sawyer": 21, "hauler": None}


def test_a_least_age_that_the_group_does_not_go_by_is_no_default(opened, coordinator):
    load_reference(coordinator.group_id, at=AT)
    for row in Practice.objects.filter(what="minimum_age", subject="sawyer"):
        coordinator.does("practice", "amend", id=row.id, is_followed=False)

    assert Duty.objects.get(id=opened.duty("sawyer")).minimum_age is None


def test_confirming_asks_again_since_ages_and_duties_change(plan, coordinator, volunteer):
    plan.staffed(coordinator)
    plan.takes(volunteer, hauler := plan.duty("hauler"))
    told(volunteer, **SEVENTEEN)
    coordinator.does("duty", "amend", id=hauler, minimum_age=18)

    with pytest.raises(DayNotReady) as refused:
        plan.does("confirm")

    assert reasons_of(refused) == ["too_young_for_duty", "guardian_consent_missing"]
    assert "Tobias Quill" in str(refused.value)


def test_who_came_too_young_or_without_consent_is_recorded_and_marked(opened, coordinator, volunteer):
    duty = opened.duty("hauler")
    opened.takes(volunteer, duty)
    told(volunteer, **SEVENTEEN)
    coordinator.does("duty", "amend", id=duty, minimum_age=18)

    marks = opened.comes(volunteer).marks

    assert [mark["code"] for mark in marks] == [
        "day_not_confirmed", "too_young_for_duty", "guardian_consent_missing",
    ]  # fmt: skip


def test_a_published_age_is_marked_with_its_source(opened, coordinator, volunteer):
    load_reference(coordinator.group_id, at=AT)
    licence(coordinator, volunteer, "2027-12-31")
    details = told(volunteer, **EIGHTEEN)
    opened.takes(volunteer, opened.duty("applicator"))
    coordinator.does("personal_details", "amend", id=details, born_on="2009-07-02")

    young = next(mark for mark in opened.comes(volunteer).marks if mark["code"] == "too_young_for_duty")

    assert "40 CFR 171.201" in young["source"]


def test_who_is_checked_in_as_a_youth_without_details_wants_a_guardians_consent(opened, volunteer):
    codes = [mark["code"] for mark in opened.comes(volunteer, age_class="youth").marks]

    assert "guardian_consent_missing" in codes


def test_the_age_is_that_on_the_local_date(opened, coordinator, volunteer):
    """At 23:30 on 30 June in Chicago it is 1 July in UTC: still seventeen."""
    duty = opened.duty("cutter", minimum_age=18)
    told(volunteer, **EIGHTEEN)
    opened.takes(volunteer, duty)
    came = volunteer.does("attendance", "create", work_day=opened.id, in_at=at("23:30", "2027-06-30")).record

    assert "too_young_for_duty" in [mark["code"] for mark in came.marks]
    assert ON == "2027-07-01"
