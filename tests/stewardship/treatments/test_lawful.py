"""A planned mix is refused for what law and landowner ask; what was done is recorded and marked with the same words."""

import pytest

from stewardship.treatments.models import Application, Batch, Session
from stewardship.treatments.services.planned_mixes import PlanOverLimits
from tests.cast import sent
from tests.doors import both_doors
from tests.ground import fl_oz, lay_out
from tests.stewardship.catalog.entries import registration
from tests.stewardship.places.papers import notice, permission, permit, tells

pytestmark = pytest.mark.django_db(transaction=True)

IN_WATER = {"methods": ["basal_bark"], "carriers": ["water"]}
ON = "2027-05-01"
"""The day of the ground's batches, sessions and lines: a Saturday; its session begins at 9:30."""


@pytest.fixture
def ground(cast):
    cast.coordinator.does("group", "amend", id=cast.group.id, jurisdiction="US-IL")
    return lay_out(cast.coordinator)


def planned(ground, **values):
    told = {
        "unit": str(ground.unit),
        "planned_on": ON,
        "method": "basal_bark",
        "carrier": "oil",
        "species": str(ground.species),
        "mix": fl_oz("64"),
        "parts": [{"product": str(ground.product), "volume": fl_oz("12.8")}],
    }
    return sent("planned_mix", "create", told | values)


def against_plan(ground, **values):
    """Return the codes for which a planned mix is refused, told alike by both doors; none if it is taken."""
    mutation = planned(ground, **values)
    try:
        ground.coordinator.does_sent(mutation)
    except PlanOverLimits:
        refused = both_doors(ground.coordinator, planned(ground, **values))
        return [each["code"] for each in refused.facts["reasons"]]
    return []


def of_line(ground, **values):
    """Return the codes that a line is marked with, beside what every line here is marked with."""
    line = ground.line(ground.session(), ground.batch(), "5", **values)
    return codes(Application.objects.get(id=line.id))


def codes(fact):
    return [each["code"] for each in fact.marks if each["code"] != "credential_missing"]


# -- permissions ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("last", "found"), [(ON, []), ("2027-04-30", ["permission_missing"])])
def test_a_permission_that_ended_refuses_the_plan_and_marks_what_was_done(ground, last, found):
    permission(ground.coordinator, ground.property, valid_to=last)

    assert against_plan(ground) == found
    session = ground.session()
    assert codes(Session.objects.get(id=session)) == found
    assert codes(Application.objects.get(id=ground.line(session, ground.batch(), "5").id)) == found


def test_what_is_marked_says_the_same_as_what_is_refused(ground):
    permission(ground.coordinator, ground.property, valid_to="2027-04-30")

    refused = both_doors(ground.coordinator, planned(ground))
    (mark,) = [m for m in Session.objects.get(id=ground.session()).marks if m["code"] == "permission_missing"]

    assert mark["detail"] == refused.facts["reasons"][0]["detail"]


def test_a_permission_entered_later_cures_nothing(ground):
    permission(ground.coordinator, ground.property, valid_to="2027-04-30")
    session = ground.session()

    permission(ground.coordinator, ground.property, valid_from=ON, given_on="2027-05-02")

    assert codes(Session.objects.get(id=session)) == ["permission_missing"]


def test_a_session_that_is_moved_into_the_permission_is_judged_by_its_new_date(ground):
    permission(ground.coordinator, ground.property, valid_to="2027-04-30")
    session = ground.session()
    line = ground.line(session, ground.batch(), "5")

    moved = {"started_at": "2027-04-30T09:30:00-05:00", "reason": "the wrong day"}
    ground.coordinator.does("session", "amend", id=session, **moved)

    assert codes(Session.objects.get(id=session)) == []
    assert "permission_missing" not in codes(Application.objects.get(id=line.id))


@pytest.mark.parametrize(("name", "found"), [("Triclopyr ", ["active_excluded"]), ("picloram", [])])
def test_an_active_ingredient_that_the_permission_leaves_out(ground, name, found):
    permission(ground.coordinator, ground.property, excluded_actives=[name])

    assert against_plan(ground) == found
    assert of_line(ground) == found


@pytest.mark.parametrize(("method", "found"), [("basal_bark", ["method_excluded"]), ("foliar", [])])
def test_a_method_that_the_permission_leaves_out(ground, method, found):
    permission(ground.coordinator, ground.property, excluded_methods=[method])

    assert against_plan(ground) == found
    assert of_line(ground) == found


@pytest.mark.parametrize(
    ("told_at", "found"), [("2027-04-29T09:30:00-05:00", []), ("2027-04-29T09:30:01-05:00", ["notice_not_given"])]
)
def test_a_session_before_which_the_landowner_was_told_too_late_is_marked(ground, told_at, found):
    given = permission(ground.coordinator, ground.property, notice={"hours_before": 48})
    id = notice(ground.coordinator, ground.property, permission=given, first_on=ON, last_on=ON)
    tells(ground.coordinator, id, told_at)

    assert codes(Session.objects.get(id=ground.session())) == found


# -- permits --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "found"),
    [
        ({"methods": ["basal_bark"], "actives": ["triclopyr"]}, []),
        ({"methods": ["foliar"]}, ["permit_does_not_cover"]),
        ({"actives": ["imazapyr"]}, ["permit_does_not_cover"]),
        ({"valid_to": "2027-04-30"}, ["permit_missing"]),
    ],
)
def test_a_permit_takes_in_the_day_the_method_and_the_active_ingredient(ground, values, found):
    ground.coordinator.does("unit", "amend", id=ground.unit, needs_permit="waters")
    permit(ground.coordinator, ground.property, **values)

    assert against_plan(ground) == found
    assert of_line(ground) == found


# -- registrations --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "found"),
    [
        ({"valid_from": ON, "valid_to": ON}, []),
        ({"valid_to": "2027-04-30"}, ["registration_lapsed"]),
        ({"valid_from": "2027-05-02"}, ["registration_lapsed"]),
        ({"jurisdiction": "US", "valid_to": "2027-04-30"}, ["registration_lapsed"]),
        ({"jurisdiction": "US-OH", "valid_to": "2027-04-30"}, []),
        ({"uses": [{"methods": ["basal_bark"], "carriers": ["oil"]}]}, []),
        ({"uses": [{"methods": ["foliar"]}]}, ["method_not_labelled"]),
        ({"uses": [{"carriers": ["water"]}]}, ["carrier_not_labelled"]),
        (
            {
                "uses": [
                    {"methods": ["basal_bark"], "carriers": ["water"]},
                    {"methods": ["foliar"], "carriers": ["oil"]},
                ]
            },
            ["use_not_labelled"],
        ),
        ({"max_strength": {"value": "20", "basis": "product_v_v"}}, []),
        ({"max_strength": {"value": "19.9", "basis": "product_v_v"}}, ["strength_above_registration"]),
    ],
)
def test_a_registration_is_held_against_the_date_the_use_and_the_strength(ground, values, found):
    registration(ground.coordinator, ground.product, **values)

    assert against_plan(ground) == found
    assert of_line(ground) == found


def test_a_batch_is_marked_by_what_is_known_when_it_is_mixed(ground):
    registration(ground.coordinator, ground.product, valid_to="2027-04-30")

    (mark,) = [m for m in Batch.objects.get(id=ground.batch()).marks if m["code"] == "registration_lapsed"]

    assert "ended on 30 April 2027" in mark["detail"]
    assert "register of products" in mark["source"]


@pytest.mark.parametrize(("site", "found"), [("Right-of-way", []), ("wetland", ["site_not_labelled"]), ("", [])])
def test_a_site_that_the_label_does_not_name(ground, site, found):
    registration(ground.coordinator, ground.product, uses=[{"sites": ["right-of-way", "pasture"]}])
    ground.coordinator.does("unit", "amend", id=ground.unit, site_type=site)

    assert against_plan(ground) == found
    assert of_line(ground) == found


def test_the_site_of_the_session_comes_before_that_of_the_unit(ground):
    registration(ground.coordinator, ground.product, uses=[{"sites": ["pasture"]}])
    ground.coordinator.does("unit", "amend", id=ground.unit, site_type="pasture")

    line = ground.line(ground.session(site_type="wetland"), ground.batch(), "5")

    assert codes(Application.objects.get(id=line.id)) == ["site_not_labelled"]


def test_a_state_that_let_it_lapse_is_not_cured_by_its_country(ground):
    registration(ground.coordinator, ground.product, valid_to="2027-04-30")
    registration(ground.coordinator, ground.product, jurisdiction="US")

    assert against_plan(ground) == ["registration_lapsed"]


def test_the_edition_that_began_last_is_the_one_in_use(ground):
    registration(ground.coordinator, ground.product, valid_from="2026-01-01", uses=[{"methods": ["foliar"]}])
    registration(ground.coordinator, ground.product, valid_from="2027-01-01")

    assert against_plan(ground) == []


@pytest.mark.parametrize(("wanted", "found"), [(True, ["registration_not_on_record"]), (False, [])])
def test_none_on_record_is_told_where_the_group_asks_for_it(cast, ground, wanted, found):
    cast.coordinator.does("group", "amend", id=cast.group.id, wants_registrations=wanted)

    assert against_plan(ground) == found
    assert of_line(ground) == found


def test_one_that_was_retired_counts_as_none(ground):
    row = registration(ground.coordinator, ground.product, valid_to="2027-04-30")
    ground.coordinator.does("product_registration", "retire", id=row.id)

    assert against_plan(ground) == []


# -- the interval between two treatments ----------------------------------------------------------


@pytest.mark.parametrize(("earlier", "found"), [("2027-04-01", []), ("2027-04-02", ["retreat_interval_not_over"])])
def test_the_interval_is_over_on_the_day_that_many_days_later(ground, earlier, found):
    registration(ground.coordinator, ground.product, retreat_days=30)
    session = ground.session(started_at=f"{earlier}T09:30:00-05:00")
    ground.line(session, ground.batch(mixed_at=f"{earlier}T09:00:00-05:00"), "5")

    assert against_plan(ground) == found
    assert of_line(ground) == found


def test_another_line_of_the_same_day_a_voided_one_and_another_unit_are_no_earlier_treatment(ground):
    registration(ground.coordinator, ground.product, retreat_days=30)
    before = ground.session(started_at="2027-04-20T09:30:00-05:00")
    batch = ground.batch(mixed_at="2027-04-20T09:00:00-05:00")
    line = ground.line(before, batch, "5")
    ground.line(before, batch, "5", unit=ground.other_unit)
    ground.coordinator.does("application", "void", id=line.id, reason="entered twice")
    session = ground.session()
    batch = ground.batch()

    marks = [codes(Application.objects.get(id=ground.line(session, batch, "5").id)) for _ in range(2)]

    assert [each for found in marks for each in found if each == "retreat_interval_not_over"] == []


# -- a coordinator's word -------------------------------------------------------------------------


def test_a_coordinator_overrides_a_planned_mix_with_a_reason_and_the_reasons_are_kept(ground):
    registration(ground.coordinator, ground.product, valid_to="2027-04-30")
    mutation = planned(ground, override={"reason": "the register was renewed today"})

    plan = ground.coordinator.does_sent(mutation).record

    assert [each["code"] for each in plan.overridden] == ["registration_lapsed"]


def test_a_wish_for_a_mix_says_what_stands_against_the_place(ground, cast):
    permission(ground.coordinator, ground.property, valid_from="2025-01-10", valid_to="2026-04-30")
    body = {
        "make": fl_oz("64"),
        "carrier": "oil",
        "unit": str(ground.unit),
        "method": "basal_bark",
        "parts": [{"product": str(ground.product), "strength": {"value": "20", "basis": "product_v_v"}}],
    }

    answer = cast.volunteer.client().post(
        f"/api/v1/groups/{cast.group.id}/mixes/plan", body, content_type="application/json"
    )

    assert "permission_missing" in [each["code"] for each in answer.json()["warnings"]]
