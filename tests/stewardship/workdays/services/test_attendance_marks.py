"""What is flagged about somebody who came: recorded all the same."""

from datetime import date

import pytest

from tests.cast import sent
from tests.planning import at, licence

OUT = {"out_at": at("12:00"), "how_known": "measured"}


def codes(record):
    return [mark["code"] for mark in record.marks]


@pytest.fixture
def lapsed(plan, coordinator, volunteer):
    """Give a confirmed day whose applicator's licence turns out to have ended the day before."""
    held = licence(coordinator, volunteer, "2027-07-01")
    plan.does("open")
    plan.takes(volunteer, plan.duty())
    plan.does("confirm")
    coordinator.does("credential", "amend", id=held, reason="typing error", expires_on="2027-06-30")
    return plan


def test_an_applicator_whose_licence_has_lapsed_is_recorded_and_marked(lapsed, volunteer):
    done = volunteer.does("attendance", "create", work_day=lapsed.id, in_at=at("9:00"))

    [mark] = done.result["warnings"]
    assert (mark["code"], mark["field"]) == ("credential_expired", "member")
    assert mark["detail"] == "The herbicide credential QX-4471 ended on 30 June 2027. It did not count on 1 July 2027."
    assert lapsed.day.state == "under_way"


def test_the_same_comes_through_a_push(lapsed, volunteer):
    taken = volunteer.pushes(sent("attendance", "create", {"work_day": str(lapsed.id), "in_at": at("9:00")}))

    [result] = taken.results
    assert (result["outcome"], result["warnings"][0]["code"]) == ("applied", "credential_expired")


def test_a_renewal_cures_no_mark(lapsed, coordinator, volunteer):
    came = lapsed.comes(volunteer)
    licence(coordinator, volunteer, "2029-06-30", number="QX-9001", issued_on="2027-07-05", received_on="2027-07-05")

    left = volunteer.does("attendance", "check_out", id=came.id, **OUT).record

    assert codes(left) == ["credential_expired"]


def test_without_herbicide_a_lapse_is_not_marked(lapsed, volunteer):
    lapsed.does("amend", herbicide_planned=False)

    assert codes(lapsed.comes(volunteer)) == []


def test_a_youth_on_a_duty_for_adults_is_recorded_and_marked(confirmed, volunteer):
    confirmed.signs_up(volunteer, duty := confirmed.duty("leader"))
    confirmed.coordinator.does("duty", "amend", id=duty, minimum_age=18)

    assert codes(confirmed.comes(volunteer, age_class="youth")) == ["too_young_for_duty", "guardian_consent_missing"]


@pytest.mark.parametrize("age_class", ["adult", "staff"])
def test_an_age_that_nobody_told_is_marked_as_unknown_not_as_too_low(confirmed, volunteer, age_class):
    confirmed.takes(volunteer, duty := confirmed.duty("hauler"))
    confirmed.coordinator.does("duty", "amend", id=duty, minimum_age=18)

    assert codes(confirmed.comes(volunteer, age_class=age_class)) == ["age_not_on_record"]


def test_an_age_that_is_high_enough_is_not_marked(confirmed, volunteer):
    volunteer.does("personal_details", "create", adult_from="2027-05-01")
    confirmed.takes(volunteer, confirmed.duty("hauler", minimum_age=18))

    assert codes(confirmed.comes(volunteer)) == []


def test_a_phone_with_a_wrong_clock_is_marked_until_it_is_corrected(confirmed, volunteer):
    told = {"work_day": confirmed.id, "in_at": at("9:00", "2027-06-30")}
    came = volunteer.does("attendance", "create", **told).record
    assert codes(came) == ["other_date"]
    assert came.on_date == date(2027, 6, 30)

    fixed = volunteer.does("attendance", "amend", id=came.id, reason="clock 26 h slow", in_at=at("11:00")).record

    assert (codes(fixed), fixed.on_date) == ([], date(2027, 7, 1))


def test_who_is_signed_up_for_nothing_is_simply_recorded(confirmed, volunteer):
    assert codes(confirmed.comes(volunteer)) == []


@pytest.mark.parametrize(
    ("out", "marked"), [("2027-07-02T09:00:00-05:00", []), ("2027-07-02T09:01:00-05:00", ["more_hours_than_a_day"])]
)
def test_more_than_24_hours_on_one_day_are_recorded_and_marked(confirmed, coordinator, volunteer, out, marked):
    came = confirmed.comes(volunteer)

    left = volunteer.does("attendance", "check_out", id=came.id, out_at=out, how_known="measured").record

    assert [code for code in codes(left) if code != "other_date"] == marked


def test_hours_are_added_up_and_a_correction_of_the_time_takes_the_mark_away(confirmed, coordinator, volunteer):
    confirmed.comes(volunteer, **{**OUT, "out_at": at("10:00")})
    again = confirmed.comes(volunteer, "10:00", out_at="2027-07-02T09:30:00-05:00", how_known="measured")
    mark = next(mark for mark in again.marks if mark["code"] == "more_hours_than_a_day")
    assert (mark["field"], mark["source"]) == ("out_at", "A day has 24 hours")
    assert mark["detail"].startswith("24.5 hours on 2027-07-01 are more than a day has.")

    amended = coordinator.does("attendance", "amend", id=again.id, reason="typed", **OUT).record

    assert codes(amended) == []
