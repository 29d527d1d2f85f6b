"""What is marked on batches and lines from stored limits, each mark with its source; nothing is refused for them."""

import re

import pytest

from stewardship.rules.limits import WORDS
from stewardship.treatments.models import Application, Batch, WorkLine
from stewardship.treatments.services.limits import FIELDS
from tests.cast import sent
from tests.ground import fl_oz
from tests.stewardship.treatments.limited import codes, creek, line, mapped
from tests.stewardship.treatments.records import work_line

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("with_a_card")]

VERDICTS = re.compile(r"\b(allowed|go|safe)\b", re.IGNORECASE)
KANSAS = {
    "what": "strength", "low": "20", "high": "30", "unit": "product_v_v", "method": "basal_bark", "carrier": "oil",
    "formulation": "ester", "wording": "Ester at 20 to 30 % in oil.", "source": "K-State Extension eUpdate 1095",
}  # fmt: skip
CREEK_IS_AT = -88.1000700
"""Between 5.7 and 5.9 m west of the unit's western side: within 20 ft."""


# -- the mix ---------------------------------------------------------------------------------------


def test_a_carrier_that_the_label_facts_do_not_name_is_marked_on_the_batch(ground):
    batch = Batch.objects.get(id=ground.batch(carrier="water"))

    (mark,) = batch.marks
    assert (mark["code"], mark["field"]) == ("carrier_not_on_label", "carrier")
    assert mark["source"] == "Label of triclopyr ester 4 lb a.e./gal"
    assert codes(Batch.objects.get(id=ground.batch())) == []


def test_a_ready_to_use_product_that_is_diluted_is_marked(ground, coordinator):
    coordinator.does("product", "amend", id=ground.product, undiluted_only=True)

    assert codes(Batch.objects.get(id=ground.batch())) == ["undiluted_only"]
    whole = ground.batch(carrier="none", mix=fl_oz("12.8"))
    assert codes(Batch.objects.get(id=whole)) == ["carrier_not_on_label"]


def test_another_carrier_is_judged_anew(ground, coordinator):
    batch = ground.batch(carrier="water")

    coordinator.does("batch", "amend", id=batch, reason="it was oil", carrier="oil")

    assert codes(Batch.objects.get(id=batch)) == []


# -- strength --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("low", "high", "marked"),
    [
        ("20", "30", []),
        ("10", "20", []),
        ("20.1", "30", ["strength_below_limit"]),
        ("10", "19.9", ["strength_above_limit"]),
    ],
)
def test_a_strength_is_compared_with_each_limit_at_both_of_its_edges(ground, enter, low, high, marked):
    enter(**KANSAS | {"low": low, "high": high})

    assert codes(line(ground)) == marked


def test_a_strength_over_a_limit_says_the_numbers_and_who_says_so(ground, enter):
    enter(**KANSAS | {"low": "10", "high": "15"})

    (mark,) = line(ground).marks

    assert mark["source"] == "K-State Extension eUpdate 1095"
    assert "at 20 % product by volume; a stored limit is 10 to 15 % product by volume" in mark["detail"]


@pytest.mark.parametrize(
    "other",
    [{"method": "foliar"}, {"carrier": "water"}, {"formulation": "amine"}, {"active": "glyphosate"}],
    ids=lambda value: next(iter(value)),
)
def test_a_limit_for_something_else_marks_nothing(ground, enter, other):
    enter(**KANSAS | {"high": "25", "low": "25"} | other)

    assert codes(line(ground)) == []


def test_limits_that_disagree_are_each_compared(ground, enter):
    enter(**KANSAS | {"low": "25", "high": "30"})
    enter(**KANSAS | {"low": "10", "high": "15", "source": "Another handbook"})

    assert sorted(codes(line(ground))) == ["strength_above_limit", "strength_below_limit"]


def test_a_limit_in_acid_by_volume_is_compared_in_that_basis(ground, enter):
    """4 lb a.e./gal at 20 % is 0.8 lb in a gallon of mix: 95.86 g/L (pound and gallon of NIST Handbook 44)."""
    enter(**KANSAS | {"unit": "ae_g_l", "low": "", "high": "95"})
    enter(**KANSAS | {"unit": "ae_g_l", "low": "", "high": "96"})

    (mark,) = line(ground).marks
    assert "at 95.86 g a.e. in a litre; a stored limit is at most 95 g a.e. in a litre" in mark["detail"]


def test_a_limit_in_a_basis_that_the_label_does_not_lead_to_is_marked_as_such(ground, enter):
    enter(**KANSAS | {"unit": "label_percent_share"})

    assert codes(line(ground)) == ["limit_not_comparable"]


def test_a_retired_limit_marks_nothing_more(ground, enter, coordinator):
    found = enter(**KANSAS | {"low": "25"})
    first = line(ground)

    coordinator.does("limit", "retire", id=found.id, reason="superseded")

    assert codes(first) == ["strength_below_limit"]
    assert codes(line(ground)) == []


# -- correcting ------------------------------------------------------------------------------------


def test_a_limit_that_changes_between_two_lines_of_a_push_bears_on_the_second(ground, enter, coordinator):
    limit, session, batch = enter(**KANSAS | {"low": "25"}), ground.session(), ground.batch()

    def used():
        told = {"session": str(session), "batch": str(batch), "species": str(ground.species), "method": "basal_bark"}
        return sent("application", "create", told | {"mix": fl_oz("5"), "how_known": "measured"})

    narrowed = sent("limit", "amend", {"low": "20"}, id=limit.id)
    taken = coordinator.pushes(used(), used(), narrowed, used())

    marked = [[mark["code"] for mark in result.get("warnings", ())] for result in taken.results]
    assert marked == [["strength_below_limit"], ["strength_below_limit"], [], []]


def test_another_method_is_judged_anew_and_keeps_the_marks_of_its_session(ground, enter, cast):
    enter(**KANSAS | {"low": "25"})
    session = ground.session(cast.volunteer)
    found = ground.line(session, ground.batch(), "5", cast.volunteer)
    assert codes(found) == ["credential_missing", "strength_below_limit"]

    cast.volunteer.does("application", "amend", id=found.id, reason="it was cut", method="cut_stump")
    assert codes(Application.objects.get(id=found.id)) == ["credential_missing"]

    cast.volunteer.does("application", "amend", id=found.id, reason="it was bark", method="basal_bark")
    assert codes(Application.objects.get(id=found.id)) == ["credential_missing", "strength_below_limit"]


def test_a_session_that_moves_takes_its_own_marks_along_and_its_lines_keep_theirs(ground, enter, cast):
    enter(**KANSAS | {"low": "25"})
    session = ground.session(cast.volunteer)
    found = ground.line(session, ground.batch(), "5", cast.volunteer)

    values = {"applicator": cast.coordinator.member.id, "reason": "the coordinator had the bottle"}
    cast.coordinator.does("session", "amend", id=session, **values)

    assert codes(Application.objects.get(id=found.id)) == ["strength_below_limit"]


# -- species and method ----------------------------------------------------------------------------


@pytest.fixture
def tree_of_heaven(coordinator):
    caution = {
        "text": "Do not cut it first: a cut tree sends up suckers.",
        "source": "Rutgers Plant & Pest Advisory, tree-of-heaven",
        "methods": ["cut_stump", "cutting"],
    }
    values = {"scientific_name": "Ailanthus altissima", "common_name": "tree-of-heaven", "cautions": [caution]}
    return coordinator.does("species", "create", **values).record.id


def test_a_cut_stump_on_tree_of_heaven_in_may_is_marked_with_text_and_citation(ground, tree_of_heaven):
    (mark,) = line(ground, species=tree_of_heaven, method="cut_stump").marks

    assert (mark["code"], mark["field"]) == ("species_method", "method")
    assert mark["detail"].startswith("tree-of-heaven, cut-stump: Do not cut it first")
    assert mark["source"] == "Rutgers Plant & Pest Advisory, tree-of-heaven"
    assert codes(line(ground, species=tree_of_heaven)) == []


def test_cutting_it_by_hand_is_marked_too_and_judged_anew(ground, tree_of_heaven, coordinator):
    id = work_line(ground, coordinator, species=tree_of_heaven, method="cutting")
    assert codes(WorkLine.objects.get(id=id)) == ["species_method"]

    coordinator.does("work_line", "amend", id=id, reason="it was pulled", method="pulling")
    assert codes(WorkLine.objects.get(id=id)) == []


# -- dose ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("millilitres", "marked"),
    [("9.9", ["dose_below_limit"]), ("10", []), ("20", []), ("20.1", ["dose_may_be_above_limit"])],
)
def test_a_dose_a_cut_is_compared_by_at_least_one_cut_a_stem(ground, enter, millilitres, marked):
    enter(what="dose_per_cut", low="0.5", high="1", unit="ml", method="hack_and_squirt")
    values = {"method": "hack_and_squirt", "mix": {"value": millilitres, "unit": "ml"}}

    assert codes(line(ground, stems=20, **values)) == marked
    assert codes(line(ground, **values)) == [], "without a count of stems there is nothing to compare"


# -- sensitive areas -------------------------------------------------------------------------------


def setback(enter):
    return enter(
        what="water_setback", low="20", unit="ft", wording="Keep 15 to 20 feet from water.",
        source="Holden Forests & Gardens, 24 January 2022",
    )  # fmt: skip


def test_a_product_that_is_not_aquatic_within_the_cited_distance_of_water_is_marked(ground, enter):
    setback(enter)
    mapped(ground)
    creek(ground, CREEK_IS_AT)

    (mark,) = line(ground).marks

    assert (mark["code"], mark["source"]) == ("near_sensitive_area", "Holden Forests & Gardens, 24 January 2022")
    told = "The unit North lies 19 ft from Heron Creek (water); a stored limit is at least 20 ft."
    assert mark["detail"].startswith(told)


def test_further_away_or_with_an_aquatic_product_nothing_is_marked(ground, enter, coordinator):
    setback(enter)
    mapped(ground)
    area = creek(ground, -88.1002)
    assert codes(line(ground)) == []

    coordinator.does("sensitive_area", "amend", id=area.id, geometry=creek(ground, -88.0995).geometry)
    coordinator.does("product", "amend", id=ground.product, aquatic=True)
    assert codes(line(ground)) == []


def test_without_a_cited_distance_water_counts_where_it_touches(ground, coordinator):
    mapped(ground)
    creek(ground, CREEK_IS_AT)
    assert codes(line(ground)) == []

    creek(ground, -88.0995)
    (mark,) = line(ground).marks
    assert (mark["code"], mark["source"]) == ("near_sensitive_area", "The county's map of streams")


def test_rare_plants_in_the_unit_are_marked_whatever_the_product(ground, coordinator):
    mapped(ground)
    coordinator.does("product", "amend", id=ground.product, aquatic=True)
    creek(ground, -88.0995, what="rare_species", name="Orchid ridge")

    (mark,) = line(ground).marks
    assert mark["detail"] == "The unit North touches Orchid ridge (rare species)."


def test_of_a_unit_that_is_not_mapped_the_distance_is_not_known(ground):
    creek(ground, CREEK_IS_AT, property=ground.property)
    creek(ground, -80.0, name="Far Brook")

    assert codes(line(ground)) == ["sensitive_area_not_comparable"]


def test_a_sensitive_area_out_of_use_marks_nothing(ground, coordinator):
    mapped(ground)
    area = creek(ground, -88.0995)
    coordinator.does("sensitive_area", "retire", id=area.id, reason="filled in")

    assert codes(line(ground)) == []


# -- words -----------------------------------------------------------------------------------------


def test_no_mark_gives_a_verdict_and_every_one_has_a_source(ground, enter, coordinator, tree_of_heaven):
    setback(enter)
    mapped(ground)
    creek(ground, CREEK_IS_AT)
    enter(**KANSAS | {"method": "", "low": "25"})
    enter(what="dose_per_cut", low="", high="0.1", unit="ml")
    enter(what="area_year_ceiling", high="1", unit="stems_acre")
    coordinator.does("product", "amend", id=ground.product, undiluted_only=True)
    batch = Batch.objects.get(id=ground.batch(carrier="water"))
    other = ground.batch()

    found = batch.marks + line(ground, batch=other, species=tree_of_heaven, method="cut_stump", stems=3).marks

    assert len(found) == 7
    for mark in found:
        assert mark["source"], mark
        assert not VERDICTS.search(mark["detail"]), mark
        assert FIELDS[mark["code"]] == mark["field"]
    assert not [words for words in WORDS.values() if VERDICTS.search(words)]
