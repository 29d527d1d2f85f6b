"""Planning a mix through REST: any member, nothing written, clear errors."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.journal.ids import new_id
from stewardship.journal.models import Revision
from stewardship.sync.models import Mutation
from stewardship.sync.reference import load_reference, reference_id
from stewardship.treatments.models import PlannedMix
from tests.api.asking import post
from tests.cast import AT
from tests.ground import lay_out
from tests.stewardship.treatments.limited import creek, limit, mapped

JUDGING = re.compile(r"\b(allowed|go|safe|safely)\b", re.IGNORECASE)


@pytest.fixture
def ester(cast):
    load_reference(cast.group.id, at=AT)
    return str(reference_id(cast.group.id, "product", "triclopyr-bee-4"))


def asked(product, **more):
    strength = {"value": "20", "basis": "product_v_v"}
    return {"make": {"value": "64", "unit": "fl_oz"}, "parts": [{"product": product, "strength": strength}], **more}


@pytest.mark.parametrize("who", ["volunteer", "coordinator", "reviewer"])
def test_any_member_plans_a_mix_and_nothing_is_written(cast, ester, who):
    before = Revision.objects.count(), Mutation.objects.count()

    answer = post(getattr(cast, who), "mixes/plan", asked(ester, leftover=None))

    assert answer.status_code == 200
    body = answer.json()
    assert body["pour"][0] == {
        "product": ester,
        "name": "triclopyr ester 4 lb a.e./gal",
        "amount": {"value": "12.8", "unit": "fl_oz"},
        "volume_nl": 378541178,
        "planned": {"value": "12.8", "unit": "fl_oz"},
        "planned_nl": 378541178,
    }
    assert body["carrier"] == "oil"
    assert body["totals"]["ae"] == {"value": "0.4", "unit": "lb", "ug": 181436948}
    assert (Revision.objects.count(), Mutation.objects.count()) == before


def test_stored_limits_warn_with_their_source(volunteer, ester):
    answer = post(volunteer, "mixes/plan", asked(ester, method="basal_bark")).json()

    assert [warning["code"] for warning in answer["warnings"]] == ["strength_below_limit"]
    assert "K-State" in answer["warnings"][0]["source"]


def test_no_answer_judges(volunteer, cast, ester):
    species = str(reference_id(cast.group.id, "species", "ailanthus-altissima"))

    answer = post(volunteer, "mixes/plan", asked(ester, method="basal_bark", species=species)).json()

    told = [text for kind in ("warnings", "cautions") for each in answer[kind] for text in each.values()]
    assert "look_alike" in told
    assert not [text for text in told if JUDGING.search(text)]


@pytest.mark.parametrize(
    ("body", "pointer", "code"),
    [
        ({}, "", "mix_unclear"),
        ({"make": {"value": "64", "unit": "each"}, "parts": []}, "/make", "unit_unknown"),
        ({"make": {"value": "64", "unit": "fl_oz"}, "colour": "blue"}, "/colour", "field_unknown"),
        ({"parts": [{"product": "x"}]}, "/parts/0/product", "value_invalid"),
        ({"parts_ratio": "1:4"}, "/parts_ratio", "ratio_unnamed"),
    ],
)
def test_what_cannot_be_read_is_a_bad_request_with_pointers(volunteer, body, pointer, code):
    answer = post(volunteer, "mixes/plan", body)

    assert answer.status_code == 400
    assert (pointer, code) in [(problem["pointer"], problem["code"]) for problem in answer.json()["errors"]]


def test_a_bare_per_cent_is_a_bad_request(volunteer, ester):
    bare = {"make": {"value": "64", "unit": "fl_oz"}, "parts": [{"product": ester, "strength": {"value": "20"}}]}

    answer = post(volunteer, "mixes/plan", bare)

    assert answer.status_code == 400
    assert answer.json()["errors"][0]["code"] == "basis_missing"
    assert answer.json()["errors"][0]["pointer"] == "/parts/0/strength"


def test_what_cannot_be_mixed_is_refused_by_its_code(volunteer, ester):
    dye = {"name": "dye", "strength": {"value": "90", "basis": "product_v_v"}}

    answer = post(volunteer, "mixes/plan", asked(ester, adjuvants=[dye]))

    assert (answer.status_code, answer.json()["code"]) == (400, "parts_above_100")


@pytest.mark.parametrize("place", ["product", "species", "leftover"])
def test_an_id_of_another_group_is_answered_like_an_unknown_one(cast, ester, stranger, place):
    load_reference(stranger.group_id, at=AT)
    foreign = str(reference_id(stranger.group_id, "product", "triclopyr-bee-4"))
    if place == "species":
        foreign = str(reference_id(stranger.group_id, "species", "rosa-multiflora"))

    answers = [post(cast.volunteer, "mixes/plan", body_with(place, ester, id)) for id in (foreign, str(new_id()))]

    assert [answer.status_code for answer in answers] == [404, 404]
    assert answers[0].json() == answers[1].json()


def body_with(place, ester, id):
    if place == "product":
        return asked(id)
    if place == "species":
        return asked(ester, species=id)
    part = {"product": id, "strength": {"value": "20", "basis": "product_v_v"}}
    return asked(ester, leftover={"volume": {"value": "4", "unit": "fl_oz"}, "parts": [part]})


def test_a_plan_costs_the_same_queries_for_one_product_and_for_three(cast, volunteer, ester):
    others = [
        str(reference_id(cast.group.id, "product", key)) for key in ("imazapyr-ipa-2", "picloram-k-2", "fosamine-4")
    ]
    strength = {"value": "1", "basis": "product_v_v"}
    post(volunteer, "mixes/plan", {})  # the first call notes when the device was seen
    counts = set()
    for ids in (others[:1], others):
        parts = [{"product": id, "strength": strength} for id in ids]
        with CaptureQueriesContext(connection) as seen:
            answer = post(volunteer, "mixes/plan", {"make": {"value": "2", "unit": "gal"}, "parts": parts})
        assert answer.status_code == 200
        counts.add(len(seen))

    assert len(counts) == 1


def test_masses_are_told_in_the_groups_own_unit(cast, coordinator, volunteer, ester):
    coordinator.does("group", "amend", id=cast.group.id, mass_unit="g")

    answer = post(volunteer, "mixes/plan", asked(ester)).json()

    assert answer["totals"]["ae"] == {"value": "181.4", "unit": "g", "ug": 181436948}


def test_with_a_unit_its_ceilings_and_sensitive_areas_are_compared_as_those_of_a_kept_plan_are(cast):
    ground = lay_out(cast.coordinator)
    limit(cast.coordinator, what="area_year_ceiling", high="0.3", unit="qt_acre", source="Handbook B")
    mapped(ground)
    creek(ground, -88.0995)
    wish = asked(str(ground.product), method="basal_bark")

    alone = post(cast.volunteer, "mixes/plan", wish).json()
    there = post(cast.volunteer, "mixes/plan", wish | {"unit": str(ground.unit)}).json()

    assert [each["code"] for each in alone["warnings"]] == ["ceiling_applies"]
    assert [each["code"] for each in there["warnings"]] == ["ceiling_applies", "near_sensitive_area", "over_ceiling"]
    assert [each["source"] for each in there["warnings"][1:]] == ["The county's map of streams", "Handbook B"]
    assert not PlannedMix.objects.exists()


def test_another_groups_unit_is_unknown_to_a_plan(cast, ester):
    theirs = lay_out(cast.stranger)

    assert post(cast.volunteer, "mixes/plan", asked(ester, unit=str(theirs.unit))).status_code == 404
