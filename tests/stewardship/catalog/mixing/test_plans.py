"""A mix is planned in each way of asking; what it makes is told on every basis that the label leads to."""

from fractions import Fraction

import pytest

from tests.published import published, within_print
from tests.stewardship.catalog.mixing.shelves import (
    ester,
    fl_oz,
    fosamine,
    glyphosate,
    ingredient,
    lb_gal,
    part,
    planned,
    poured,
    product,
    refusal,
)

MIX_NL = 1_892_705_892  # 64 US fluid ounces
ESTER = ester()
DYE_41 = {"name": "dye", "strength": {"value": "41", "basis": "product_v_v"}}


# -- by strength -----------------------------------------------------------------------------------


def test_64_ounces_at_20_percent_is_told_as_the_contract_prints_it():
    answer = planned(
        ESTER,
        make=fl_oz("64"),
        parts=[part(ESTER, "20")],
        adjuvants=[{"name": "colorant", "strength": {"value": "0.5", "basis": "product_v_v"}}],
        leftover=None,
    )

    [product_, colorant, oil] = answer["pour"]
    assert product_["product"] == str(ESTER.id)
    assert product_["amount"] == {"value": "12.8", "unit": "fl_oz"}
    assert product_["volume_nl"] == 378_541_178
    assert colorant["amount"] == {"value": "0.32", "unit": "fl_oz"}
    assert oil == {"carrier": "oil", "amount": {"value": "50.88", "unit": "fl_oz"}, "volume_nl": oil["volume_nl"]}
    assert sum(each["volume_nl"] for each in answer["pour"]) == MIX_NL
    assert answer["strengths"]["product_v_v"] == "20"
    assert answer["strengths"]["ae_w_v"] == "9.586"  # 4 lb/gal = 479.3 g/L; a fifth of it in 100 mL
    assert answer["strengths"]["ae_g_l"] == "95.86"
    assert answer["strengths"]["label_percent_share"] == "12.09"  # 60.45 % x 0.2
    assert answer["unknown"] == []


def test_the_acid_in_64_ounces_is_0_4_pounds():
    answer = planned(ESTER, make=fl_oz("64"), parts=[part(ESTER, "20")])

    assert answer["totals"]["ae"] == {"value": "0.4", "unit": "lb", "ug": 181_436_948}  # 0.4 x 453,592,370 µg
    assert within_print(Fraction(answer["totals"]["ai"]["ug"], 453_592_370), "0.5562")


def test_the_steps_begin_and_end_with_carrier():
    answer = planned(ESTER, make=fl_oz("64"), parts=[part(ESTER, "20")])

    steps = answer["steps"]
    assert [step["number"] for step in steps] == [1, 2, 3]
    assert (steps[0]["carrier"], steps[0]["to"], steps[0]["amount"]["value"]) == ("oil", "half", "32")
    assert (steps[1]["product"], steps[1]["amount"]["value"]) == (str(ESTER.id), "12.8")
    assert (steps[2]["carrier"], steps[2]["to"], steps[2]["level"]["value"]) == ("oil", "line", "64")


@pytest.mark.parametrize("row", published("cup_marks"), ids=str)
def test_a_cup_with_marks_pours_to_the_mark_and_tells_what_that_makes(row):
    answer = planned(
        ESTER,
        make=fl_oz(row["mix_fl_oz"]),
        parts=[part(ESTER, row["strength_pct"])],
        finest_mark={"value": row["mark_ml"], "unit": "ml"},
    )

    [product_, _] = answer["pour"]
    assert product_["amount"] == {"value": row["poured_ml"], "unit": "ml"}
    assert product_["planned"] == fl_oz(row["planned_fl_oz"])
    assert (product_["planned_nl"], product_["volume_nl"]) == (378_541_178, 380_000_000)
    assert answer["strengths"]["product_v_v"] == row["made_pct"]
    assert answer["steps"][1]["amount"] == {"value": "380", "unit": "ml"}


@pytest.mark.parametrize(("basis", "v_v"), [("label_percent_share", "24.39"), ("ai_w_v", "20.86")])
def test_ten_percent_of_what_decides_how_much_is_poured(basis, v_v):
    """Arithmetic: 10 / 41; 10 g in 100 mL over 4 lb/gal (479.3 g/L)."""
    stuff = glyphosate()

    answer = planned(stuff, make=fl_oz("100"), parts=[part(stuff, "10", basis)])

    assert answer["strengths"]["product_v_v"] == v_v
    assert answer["strengths"][basis] == "10"


def test_metric_amounts_are_answered_in_metric_and_masses_in_the_groups_unit():
    answer = planned(ESTER, make={"value": "2", "unit": "l"}, parts=[part(ESTER, "20")], mass_unit="g")

    assert poured(answer) == [("ester", "0.4", "l"), ("oil", "1.6", "l")]
    assert answer["totals"]["ae"]["value"] == "191.7"
    assert answer["totals"]["ae"]["unit"] == "g"


def test_unknown_acid_stays_unknown_in_strengths_and_totals():
    stuff = fosamine()

    answer = planned(stuff, make=fl_oz("64"), parts=[part(stuff, "20")])

    assert answer["unknown"] == ["ae"]
    assert answer["totals"]["ae"] is None
    assert answer["strengths"]["ae_w_v"] is None
    assert answer["totals"]["ai"]["value"] == "0.4"


def test_what_the_label_does_not_state_cannot_be_asked_for():
    stuff = fosamine()

    assert refusal(stuff, make=fl_oz("64"), parts=[part(stuff, "2", "ae_w_v")]) == "strength_unknowable"


def test_several_active_ingredients_are_never_added_up():
    one, other = ester(carriers=["water"]), glyphosate()

    answer = planned(one, other, make=fl_oz("100"), parts=[part(one, "2"), part(other, "3")])

    assert answer["strengths"] == {"product_v_v": "5"}
    assert answer["totals"] == {"ai": None, "ae": None}
    assert [each["name"] for each in answer["ingredients"]] == ["triclopyr", "glyphosate"]
    assert [each["strengths"]["ae_g_l"] for each in answer["ingredients"]] == ["9.586", "10.78"]
    assert answer["unknown"] == []


def test_unknown_figures_of_several_name_their_active_ingredient():
    one, other = fosamine(), glyphosate()

    answer = planned(one, other, make=fl_oz("100"), parts=[part(one, "2"), part(other, "3")])

    assert answer["unknown"] == ["ae of fosamine"]


def test_a_premix_is_asked_for_by_product():
    premix = product("premix", ingredient("triclopyr", ae=lb_gal("1")), ingredient("aminopyralid", ae=lb_gal("0.1")))

    assert refusal(premix, make=fl_oz("64"), parts=[part(premix, "1", "ae_w_v")]) == "strength_of_several"
    answer = planned(premix, make=fl_oz("64"), parts=[part(premix, "1")])
    assert [each["name"] for each in answer["ingredients"]] == ["triclopyr", "aminopyralid"]


def test_a_dry_product_is_weighed_to_the_marks_of_the_scale():
    dry = product("dry", ingredient("imazapyr", ai_percent_w_w="75"), is_dry=True)

    answer = planned(
        dry,
        make={"value": "1", "unit": "gal"},
        parts=[part(dry, "1", "product_oz_gal")],
        finest_weight={"value": "0.25", "unit": "oz"},
    )

    [weighed, _] = answer["pour"]
    assert weighed["amount"] == {"value": "1", "unit": "oz"}
    assert answer["strengths"]["product_oz_gal"] == "1"
    assert answer["strengths"]["ai_g_l"] == "5.617"  # 28.35 g x 0.75 in 3.785 L
    assert answer["totals"]["ai"]["ug"] == 21_262_143  # three quarters of four marks of 7,087,381 µg


def test_a_dry_product_has_no_per_cent_by_volume():
    dry = product("dry", ingredient("imazapyr", ai_percent_w_w="75"), is_dry=True)

    assert refusal(dry, make=fl_oz("64"), parts=[part(dry, "5")]) == "strength_unknowable"


def test_an_undiluted_product_takes_no_carrier():
    ready = ester(carriers=["none"], undiluted_only=True)

    answer = planned(ready, make=fl_oz("16"), parts=[part(ready, "100")])

    assert poured(answer) == [("ester", "16", "fl_oz")]
    assert answer["carrier"] is None


@pytest.mark.parametrize(
    ("body", "code"),
    [
        ({"parts": [part(ESTER, "60")], "adjuvants": [DYE_41]}, "parts_above_100"),
        ({"parts": [part(ESTER, "60", "ae_w_v")]}, "concentrate_too_weak"),
        ({"parts": [part(ESTER, "10"), part(ESTER, "10")]}, "part_twice"),
        ({"parts": [part(ESTER, "20")], "make": fl_oz("0")}, "amount_not_positive"),
        ({"parts": [part(ESTER, "0.1")], "finest_mark": {"value": "10", "unit": "ml"}}, "mark_too_coarse"),
        ({"parts": [part(ESTER, "20")], "carrier": "none"}, "carrier_missing"),
    ],
)  # fmt: skip
def test_what_cannot_be_mixed_is_refused(body, code):
    assert refusal(ESTER, **({"make": fl_oz("64")} | body)) == code


def test_two_products_of_one_name_are_told_apart():
    one, other = glyphosate(), glyphosate()
    other.id = ESTER.id

    answer = planned(one, other, make=fl_oz("64"), parts=[part(one, "2"), part(other, "2")])

    assert [each.get("product") for each in answer["pour"]][:2] == [str(one.id), str(other.id)]


# -- by named parts, by rate and area --------------------------------------------------------------


@pytest.mark.parametrize("ratio", [{"product": 1, "carrier": 4}, {"product": "0.5", "carrier": 2}])
def test_one_part_in_five_is_20_percent(ratio):
    answer = planned(ESTER, make=fl_oz("64"), parts=[part(ESTER)], parts_ratio=ratio)

    assert poured(answer) == [("ester", "12.8", "fl_oz"), ("oil", "51.2", "fl_oz")]
    assert answer["strengths"]["product_v_v"] == "20"


def test_a_dry_product_has_no_parts_by_volume():
    dry = product("dry", ingredient("imazapyr"), is_dry=True)

    body = {"make": fl_oz("64"), "parts": [part(dry)], "parts_ratio": {"product": 1, "carrier": 4}}
    assert refusal(dry, **body) == "dry_by_volume"


def test_a_rate_over_an_area_goes_into_the_mix_wanted():
    """2 qt an acre on a quarter acre: a pint, in 5 gallons 2.5 %. Arithmetic."""
    stuff = glyphosate()
    rate = {"product": {"value": "2", "unit": "qt"}, "per": {"value": "1", "unit": "acre"}}

    answer = planned(
        stuff,
        make={"value": "5", "unit": "gal"},
        parts=[part(stuff)],
        rate=rate,
        area={"value": "0.25", "unit": "acre"},
    )

    assert answer["pour"][0]["volume_nl"] == 473_176_473
    assert answer["strengths"]["product_v_v"] == "2.5"


def test_a_rate_of_mix_says_how_much_mix_it_is():
    """20 gallons an acre with 2 qt of product on half an acre: 10 gallons with 1 qt. Arithmetic."""
    stuff = glyphosate()
    rate = {
        "product": {"value": "2", "unit": "qt"}, "per": {"value": "1", "unit": "acre"},
        "mix": {"value": "20", "unit": "gal"},
    }  # fmt: skip

    answer = planned(stuff, parts=[part(stuff)], rate=rate, area={"value": "0.5", "unit": "acre"})

    assert answer["makes"] == {"value": "10", "unit": "gal"}
    assert answer["pour"][0]["amount"] == {"value": "0.25", "unit": "gal"}


def test_a_dry_rate_is_a_weight():
    dry = product("dry", ingredient("imazapyr", ai_percent_w_w="75"), is_dry=True)
    rate = {"product": {"value": "4", "unit": "oz"}, "per": {"value": "1", "unit": "acre"}}
    body = {"make": {"value": "10", "unit": "gal"}, "parts": [part(dry)], "area": {"value": "0.5", "unit": "acre"}}

    answer = planned(dry, rate=rate, **body)

    assert answer["pour"][0]["amount"] == {"value": "56.7", "unit": "g"}
    wet = {**rate, "product": {"value": "4", "unit": "fl_oz"}}
    assert refusal(dry, rate=wet, **body) == "dry_by_volume"


def test_a_liquid_rate_is_a_volume_and_fits_into_the_mix():
    stuff = glyphosate()
    body = {"make": fl_oz("64"), "parts": [part(stuff)], "area": {"value": "1", "unit": "acre"}}
    per = {"value": "1", "unit": "acre"}

    assert refusal(stuff, rate={"product": {"value": "4", "unit": "oz"}, "per": per}, **body) == "wet_by_weight"
    assert refusal(stuff, rate={"product": {"value": "1", "unit": "gal"}, "per": per}, **body) == "parts_above_100"
