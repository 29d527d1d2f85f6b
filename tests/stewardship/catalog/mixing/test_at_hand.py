"""What is at hand: product, carrier, a leftover; what mix they make, and topping up."""

import pytest

from tests.stewardship.catalog.mixing.shelves import (
    ester,
    fl_oz,
    glyphosate,
    ingredient,
    part,
    planned,
    poured,
    product,
    refusal,
)

ESTER = ester()


def test_so_much_product_makes_so_much_mix():
    answer = planned(ESTER, have={"product": fl_oz("12.8")}, parts=[part(ESTER, "20")])

    assert answer["makes"] == fl_oz("64")
    assert answer["pour"][0]["volume_nl"] <= 378_541_178


def test_what_is_at_hand_is_never_exceeded_by_a_mark():
    answer = planned(
        ESTER, have={"product": fl_oz("12.8")}, parts=[part(ESTER, "20")], finest_mark={"value": "10", "unit": "ml"}
    )

    assert answer["pour"][0]["volume_nl"] == 370_000_000


def test_product_poured_into_a_full_gallon_makes_a_sixth():
    """25.6 fl oz into a full 128 fl oz make 1/6, not 1/5. Arithmetic."""
    answer = planned(ESTER, have={"product": fl_oz("25.6"), "carrier": fl_oz("128")}, parts=[part(ESTER)])

    assert answer["strengths"]["product_v_v"] == "16.67"
    assert answer["makes"] == fl_oz("153.6")


LEFT = {"volume": fl_oz("24"), "carrier": "oil", "parts": [part(ESTER, "20")]}


def test_oil_poured_into_a_leftover_makes_it_weaker():
    """24 fl oz at 20 % and 8 fl oz of oil are 15 %. Arithmetic."""
    answer = planned(ESTER, have={"carrier": fl_oz("8")}, leftover=LEFT)

    assert answer["strengths"]["product_v_v"] == "15"
    assert answer["makes"] == fl_oz("32")


def test_product_poured_into_a_leftover_makes_it_stronger():
    answer = planned(ESTER, have={"product": fl_oz("8")}, parts=[part(ESTER)], leftover=LEFT)

    assert answer["strengths"]["product_v_v"] == "40"  # 4.8 + 8 of 32


def test_a_leftover_is_brought_down_with_carrier():
    answer = planned(ESTER, leftover=LEFT, parts=[part(ESTER, "15")])

    assert answer["pour"][0] == {"leftover": True, "amount": fl_oz("24"), "volume_nl": 709_764_710}
    assert answer["pour"][1]["amount"] == fl_oz("8")
    assert answer["strengths"]["product_v_v"] == "15"
    assert [step.get("to") for step in answer["steps"]][-1] == "line"


def test_a_leftover_that_has_the_strength_already_takes_nothing():
    answer = planned(ESTER, leftover=LEFT, parts=[part(ESTER, "20")])

    assert [list(each)[0] for each in answer["pour"]] == ["leftover"]


def test_a_leftover_is_topped_up():
    answer = planned(ESTER, make=fl_oz("64"), parts=[part(ESTER, "20")], leftover=LEFT)

    assert poured(answer)[1:] == [("ester", "8", "fl_oz"), ("oil", "32", "fl_oz")]
    assert answer["strengths"]["product_v_v"] == "20"
    assert answer["totals"]["ae"]["value"] == "0.4"


@pytest.mark.parametrize(
    ("left", "code"),
    [
        (LEFT | {"parts": None}, "contents_unknown"),
        (LEFT | {"carrier": "water"}, "carriers_differ"),
        (LEFT | {"volume": fl_oz("65")}, "leftover_too_large"),
        (LEFT | {"parts": [part(ESTER, "90")]}, "leftover_too_strong"),
    ],
)
def test_a_leftover_that_cannot_be_topped_up_is_refused(left, code):
    body = {"make": fl_oz("64"), "parts": [part(ESTER, "20")], "carrier": "oil"}

    assert refusal(ESTER, leftover=left, **body) == code


def test_a_leftover_of_unknown_contents_is_not_diluted_either():
    assert refusal(ESTER, leftover=LEFT | {"parts": None}, parts=[part(ESTER, "10")]) == "contents_unknown"
    assert refusal(ESTER, leftover=LEFT | {"parts": None}, have={"carrier": fl_oz("8")}) == "contents_unknown"


def test_a_leftover_of_another_product_meets_it_only_where_a_label_names_it():
    other = glyphosate(carriers=["oil"])
    body = {"make": fl_oz("64"), "parts": [part(other, "2")], "leftover": LEFT}

    assert refusal(ESTER, other, **body) == "products_not_compatible"
    partner = glyphosate(carriers=["oil"], compatible_with=[str(ESTER.id)])
    answer = planned(ESTER, partner, **body)
    assert "leftover_adds" in [each["code"] for each in answer["warnings"]]


def test_a_dry_product_is_neither_had_by_volume_nor_diluted_by_it():
    dry = product("dry", ingredient("imazapyr"), is_dry=True)
    left = {"volume": fl_oz("24"), "carrier": "water", "parts": [part(dry, "10", "product_g_l")]}

    assert refusal(dry, have={"product": fl_oz("1"), "carrier": fl_oz("9")}, parts=[part(dry)]) == "dry_by_volume"
    assert refusal(dry, leftover=left, parts=[part(dry, "5", "product_g_l")]) == "dry_by_volume"


def test_dry_parts_and_adjuvants_of_a_leftover_count():
    dry = product("dry", ingredient("imazapyr", ai_percent_w_w="75"), is_dry=True)
    dye = {"name": "dye", "strength": {"value": "1", "basis": "product_g_l"}}
    oil = {"name": "spreader", "strength": {"value": "1", "basis": "product_v_v"}}
    left = {"volume": {"value": "1", "unit": "l"}, "parts": [part(dry, "10", "product_g_l")], "adjuvants": [dye, oil]}

    answer = planned(
        dry,
        make={"value": "2", "unit": "l"},
        parts=[part(dry, "10", "product_g_l")],
        adjuvants=[dye, oil],
        leftover=left,
    )

    assert {each.get("name") or each.get("adjuvant"): each.get("mass_ug") for each in answer["pour"]} == {
        None: None, "dry": 10_000_000, "dye": 1_000_000, "spreader": None,
    }  # fmt: skip
    assert answer["strengths"]["product_g_l"] == "10"
