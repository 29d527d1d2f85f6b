"""Amounts through REST: units that are not amounts are refused with those there are, and nothing drifts.

The size of a gallon: NIST Handbook 44, Appendix C. Half a per cent of two gallons is 256 fl oz x 0.005 = 1.28 fl oz.
"""

import pytest

from stewardship.rules.units import shown
from tests.api.asking import get, post
from tests.ground import lay_out

pytestmark = pytest.mark.django_db


@pytest.fixture
def ground(coordinator):
    """Give a property, a species, a product."""
    return lay_out(coordinator)


def batch(ground, **values):
    told = {
        "mixed_at": "2027-05-01T09:00:00-05:00", "mixed_by": str(ground.coordinator.member.id), "carrier": "oil",
        "how_known": "measured", "mix": {"value": "2", "unit": "gal"},
        "parts": [{"product": str(ground.product), "volume": {"value": "12.8", "unit": "fl_oz"}}],
    }  # fmt: skip
    return post(ground.coordinator, "batches", told | values)


@pytest.mark.parametrize("unit", ["each", "bag", "lb/ac", "oz", "%"])
def test_a_unit_that_is_no_amount_of_mix_is_refused_with_the_units_there_are(ground, unit):
    answer = batch(ground, mix={"value": "1", "unit": unit})

    assert answer.status_code == 400
    (problem,) = answer.json()["errors"]
    assert problem["pointer"].startswith("/mix")
    assert "ml, l, fl_oz, pt, qt, gal, imp_fl_oz, imp_gal" in problem["detail"]
    assert get(ground.coordinator, "batches").json()["results"] == []


def test_half_a_per_cent_of_two_gallons_is_1_28_fluid_ounces(ground):
    told = {
        "make": {"value": "2", "unit": "gal"}, "carrier": "oil",
        "parts": [{"product": str(ground.product), "strength": {"value": "0.5", "basis": "product_v_v"}}],
    }  # fmt: skip

    poured = post(ground.coordinator, "mixes/plan", told).json()["pour"]

    nl = next(each["volume_nl"] for each in poured if each.get("product"))
    assert shown(nl, "fl_oz") == "1.28"


@pytest.mark.parametrize(("value", "unit", "nl"), [("1", "gal", 3_785_411_784), ("3785.411784", "ml", 3_785_411_784)])
def test_a_gallon_is_3785_411784_millilitres_there_and_back(ground, value, unit, nl):
    made = batch(ground, mix={"value": value, "unit": unit}).json()

    mix = get(ground.coordinator, f"batches/{made['id']}").json()["mix"]
    assert (mix["nl"], mix["value"], mix["unit"]) == (nl, value, unit)
