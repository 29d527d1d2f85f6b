"""Helpers without a licence, where a restricted-use product is worked with: refused as a plan, marked as a fact."""

import pytest

from stewardship.treatments.models import Application
from stewardship.workdays.reasons import NotQualified, ReasonsStand
from tests.cast import sent
from tests.ground import fl_oz, lay_out
from tests.planning import licence
from tests.trainings import rule, trains

WORK = "2027-05-01"
"""The date of the work; a training of 1 May 2026 counts on it for the last time."""


@pytest.fixture
def ground(cast):
    made = lay_out(cast.coordinator)
    cast.coordinator.does("product", "amend", id=made.product, restricted_use=True)
    licence(cast.coordinator, cast.coordinator, "2027-12-31")
    return made


def marks(line):
    found = Application.objects.get(id=line.id).marks
    return [mark["code"] for mark in found if mark["code"].startswith("helper_training")]


def used(cast, ground, helpers=("volunteer",)):
    named = [str(getattr(cast, name).member.id) for name in helpers]
    return ground.line(ground.session(helpers=named), ground.batch(), "5")


@pytest.mark.parametrize(
    ("trained_on", "marked"),
    [("2026-05-01", []), ("2026-04-30", ["helper_training_lapsed"]), (None, ["helper_training_missing"])],
)
def test_a_helper_trained_twelve_months_and_a_day_ago_is_marked_and_nothing_is_refused(
    cast, ground, trained_on, marked
):
    """Within the last 12 months before use: Direct Supervision of Noncertified Applicators, Washington State DoA."""
    if trained_on:
        trains(cast.coordinator, cast.volunteer, rule(cast.coordinator), on_date=trained_on)

    line = used(cast, ground)

    assert marks(line) == marked
    if trained_on == "2026-04-30":
        (mark,) = [mark for mark in Application.objects.get(id=line.id).marks if "helper" in mark["code"]]
        assert "counted up to 30 April 2027. It did not count on 1 May 2027." in mark["detail"]
        assert "Tobias" not in mark["detail"]
        assert mark["source"] == "An invented ordinance"


def test_a_later_training_cures_nothing_and_another_helper_is_judged_anew(cast, ground):
    type = rule(cast.coordinator)
    line = used(cast, ground)
    trains(cast.coordinator, cast.volunteer, type, on_date="2027-05-01", signed=False)
    assert marks(line) == ["helper_training_missing"]

    trains(cast.coordinator, cast.other_volunteer, type)
    session = Application.objects.get(id=line.id).session_id
    other = [str(cast.other_volunteer.member.id)]
    cast.coordinator.does("session", "amend", id=session, helpers=other, reason="it was somebody else")

    assert marks(line) == []


def test_who_holds_a_licence_needs_no_training_and_neither_does_work_with_other_products(cast, ground):
    licence(cast.coordinator, cast.volunteer, WORK)
    assert marks(used(cast, ground)) == []

    cast.coordinator.does("product", "amend", id=ground.product, restricted_use=False)
    assert marks(used(cast, ground, ("other_volunteer",))) == []


def test_a_fact_is_marked_alike_through_a_push_and_lines_ask_no_more_statements_than_one(cast, ground):
    session = ground.session(helpers=[str(cast.volunteer.member.id)])
    told = {
        "session": str(session), "batch": str(ground.batch()), "species": str(ground.species),
        "method": "basal_bark", "mix": fl_oz("1"), "how_known": "measured",
    }  # fmt: skip

    taken = cast.coordinator.pushes(*(sent("application", "create", told) for _ in range(3)))

    codes = [[w["code"] for w in result["warnings"] if "helper" in w["code"]] for result in taken.results]
    assert codes == [["helper_training_missing"]] * 3


# -- plans -----------------------------------------------------------------------------------------


@pytest.fixture
def day(cast, ground):
    """Plan a day with a mix of the restricted-use product, and a helper wanted on it."""
    does = cast.coordinator.does
    told = {"property": ground.property, "title": "Buckthorn", "on_date": WORK, "units": [str(ground.unit)]}
    id = does("work_day", "create", **told, herbicide_planned=True).record.id
    does(
        "planned_mix", "create", unit=ground.unit, work_day=id, planned_on=WORK, method="basal_bark", carrier="oil",
        mix=fl_oz("64"), parts=[{"product": str(ground.product), "volume": fl_oz("12.8")}],
    )  # fmt: skip
    does("work_day", "open", id=id)
    return id


def signs_up(cast, day, who):
    duty = cast.coordinator.does("duty", "create", work_day=day, name="helper", wanted=2).record.id
    return who.does("sign_up", "create", work_day=day, duty=duty).record


def test_a_helper_twelve_months_and_a_day_after_the_training_is_not_assignable_to_a_restricted_product(cast, day):
    trains(cast.coordinator, cast.volunteer, rule(cast.coordinator), on_date="2026-04-30")

    with pytest.raises(NotQualified) as refused:
        signs_up(cast, day, cast.volunteer)

    assert [reason["code"] for reason in refused.value.facts["reasons"]] == ["helper_training_lapsed"]
    trains(cast.coordinator, cast.volunteer, rule(cast.coordinator), on_date="2026-05-01")
    assert signs_up(cast, day, cast.volunteer).member_id == cast.volunteer.member.id


def test_a_day_is_not_confirmed_with_a_helper_whose_training_was_voided_since(cast, day):
    training = trains(cast.coordinator, cast.volunteer, rule(cast.coordinator))
    signs_up(cast, day, cast.volunteer)
    cast.coordinator.does("training", "void", id=training.id, reason="another person")

    with pytest.raises(ReasonsStand) as refused:
        cast.coordinator.does("work_day", "confirm", id=day)

    told = {reason["code"]: reason["detail"] for reason in refused.value.facts["reasons"]}
    assert told["helper_training_missing"].startswith("Tobias Quill: ")


def test_without_a_restricted_product_a_helper_needs_no_training(cast, ground, day):
    cast.coordinator.does("product", "amend", id=ground.product, restricted_use=False)

    assert signs_up(cast, day, cast.volunteer).member_id == cast.volunteer.member.id
