"""What is flagged on a plan: notes of the plan, what a label does not name, stored limits."""

import pytest

from stewardship.catalog.models import Limit, Species
from tests.cast import AT
from tests.stewardship.catalog.mixing.shelves import (
    codes,
    ester,
    fl_oz,
    fosamine,
    glyphosate,
    id_of,
    part,
    planned,
    product,
    strength_limit,
)

ESTER = ester()
KNOTWEED = Species(id=id_of("knotweed"), scientific_name="Reynoutria japonica")
CEILING = Limit(
    id=id_of("ceiling"), what="area_year_ceiling", high="8.5", unit="qt_acre", method="injection",
    species_id=KNOTWEED.id, wording="At most 8.5 quarts on an acre in a year.", source="PNW Handbook, node 8533",
)  # fmt: skip


def warned(stuff, percent, *limits, basis="product_v_v", **body):
    answer = planned(stuff, limits=limits, make=fl_oz("64"), parts=[part(stuff, percent, basis)], **body)
    return answer["warnings"]


@pytest.mark.parametrize(
    ("percent", "expected"),
    [
        ("9.9", ["strength_below_limit"]),
        ("10", []),
        ("15", []),
        ("20", []),
        ("20.1", ["strength_above_limit"]),
    ],
)
def test_a_strength_is_compared_with_the_stored_range_for_the_method(percent, expected):
    told = warned(ESTER, percent, strength_limit(), method="basal_bark")

    assert codes(told) == expected


def test_a_warning_quotes_the_limit_and_its_source():
    [told] = warned(ESTER, "25", strength_limit(), method="basal_bark")

    assert told["source"] == "Basal bark application, PNW Handbooks"
    assert "25" in told["detail"]
    assert "10 to 20 % product by volume" in told["detail"]


def test_limits_that_disagree_are_each_compared():
    kansas = strength_limit(low="25", high="30", source="K-State Extension column, 11 October 2022")

    told = warned(ESTER, "20.5", strength_limit(), kansas, method="basal_bark")

    assert codes(told) == ["strength_above_limit", "strength_below_limit"]


def test_what_is_poured_to_the_mark_is_what_is_compared():
    told = warned(ESTER, "20", strength_limit(), method="basal_bark", finest_mark={"value": "10", "unit": "ml"})

    assert codes(told) == ["strength_above_limit"]  # 380 mL make 20.08 %


@pytest.mark.parametrize(
    "other",
    [
        {"method": "foliar"},
        {"carrier": "water"},
        {"formulation": "amine"},
        {"active": "glyphosate"},
        {"product_id": id_of("another product")},
        {"species_id": id_of("another species")},
        {"retired_at": AT},
        {"what": "cut_to_treat"},
    ],
)
def test_a_limit_on_something_else_is_not_compared(other):
    assert warned(ESTER, "50", strength_limit(**other), method="basal_bark") == []


@pytest.mark.parametrize(
    "same", [{"formulation": "ester"}, {"active": "Triclopyr"}, {"product_id": ESTER.id}, {"species_id": KNOTWEED.id}]
)
def test_a_limit_on_just_this_is_compared(same):
    told = warned(ESTER, "50", strength_limit(**same), method="basal_bark", species=KNOTWEED)

    assert codes(told) == ([] if "species_id" in same else ["strength_above_limit"])


def test_a_limit_on_a_species_is_compared_where_the_species_is_named():
    limit = strength_limit(species_id=KNOTWEED.id)
    body = {"make": fl_oz("64"), "parts": [part(ESTER, "50")], "method": "basal_bark"}

    shelf = {"limits": (limit,), "species": KNOTWEED}
    from stewardship.catalog.mixing import Shelf, plan
    from tests.stewardship.catalog.mixing.shelves import asked

    answer = plan(asked(body | {"species": str(KNOTWEED.id)}), Shelf({ESTER.id: ESTER}, **shelf))

    assert codes(answer["warnings"]) == ["strength_above_limit"]


def test_without_a_method_no_limit_is_compared():
    assert warned(ESTER, "50", strength_limit()) == []


def test_a_limit_by_acid_is_compared_on_that_basis():
    """20 % of a 4 lb a.e./gal product is 95.86 g a.e. in a litre."""
    by_acid = {"unit": "ae_g_l", "low": ""}

    assert warned(ESTER, "20", strength_limit(high="96", **by_acid), method="basal_bark") == []
    told = warned(ESTER, "20", strength_limit(high="95", **by_acid), method="basal_bark")
    assert codes(told) == ["strength_above_limit"]


def test_an_unknown_strength_cannot_be_compared_and_says_so():
    limit = strength_limit(unit="ae_g_l", carrier="water")

    told = warned(fosamine(), "20", limit, method="basal_bark")

    assert codes(told) == ["limit_not_comparable"]


@pytest.mark.parametrize(
    ("stuff", "body", "expected"),
    [
        (glyphosate(), {"carrier": "oil"}, ["carrier_not_on_label"]),
        (glyphosate(carriers=[]), {"carrier": "water"}, ["carrier_unknown"]),
        (ester(), {"carrier": "oil"}, []),
        (ester(retired_at=AT), {}, ["product_retired"]),
        (ester(undiluted_only=True, carriers=["none"]), {"carrier": "oil"}, ["undiluted_only", "carrier_not_on_label"]),
    ],
)
def test_what_the_facts_on_record_do_not_name_is_flagged(stuff, body, expected):
    told = warned(stuff, "20", **body)

    assert codes(told) == expected
    assert all(each["source"] for each in told)


def test_products_that_no_label_names_as_partners_are_flagged_with_the_label():
    one, other = ester(carriers=["water"]), glyphosate()

    answer = planned(one, other, make=fl_oz("64"), parts=[part(one, "2"), part(other, "2")])

    [told] = answer["warnings"]
    assert (told["code"], told["source"]) == ("compatibility_unknown", "Label of ester, invented")


def test_partners_that_a_label_names_are_not_flagged():
    one = ester(carriers=["water"])
    other = glyphosate(compatible_with=[str(one.id)])

    assert planned(one, other, make=fl_oz("64"), parts=[part(one, "2"), part(other, "2")])["warnings"] == []


def test_where_a_ceiling_applies_amounts_go_down_to_the_mark():
    from stewardship.catalog.mixing import Shelf, plan
    from tests.stewardship.catalog.mixing.shelves import asked

    body = {
        "make": fl_oz("64"), "parts": [part(ESTER, "20")], "finest_mark": {"value": "10", "unit": "ml"},
        "method": "injection", "species": str(KNOTWEED.id),
    }  # fmt: skip

    answer = plan(asked(body), Shelf({ESTER.id: ESTER}, limits=(CEILING,), species=KNOTWEED))

    assert answer["pour"][0]["volume_nl"] == 370_000_000
    assert codes(answer["warnings"]) == ["ceiling_applies"]
    assert answer["warnings"][0]["source"] == "PNW Handbook, node 8533"


def test_a_limit_on_one_active_of_a_premix_is_compared_with_that_one():
    from tests.stewardship.catalog.mixing.shelves import ingredient, lb_gal

    premix = product("premix", ingredient("triclopyr", ae=lb_gal("1")), ingredient("aminopyralid", ae=lb_gal("0.1")))
    limit = {"unit": "ae_g_l", "carrier": "water", "low": "", "high": "5"}

    named = warned(premix, "10", strength_limit(active="triclopyr", **limit), method="basal_bark")
    unnamed = warned(premix, "10", strength_limit(**limit), method="basal_bark")

    assert codes(named) == ["strength_above_limit"]  # 11.98 g/L
    assert codes(unnamed) == ["limit_not_comparable"]
