"""A mix is asked for in exactly one way; everything else gets a clear error."""

from typing import Any

import pytest

from stewardship.catalog.mixing import MixPlan
from stewardship.errors import Unreadable
from stewardship.sync.reading import read_fields
from tests.stewardship.catalog.mixing.shelves import ester, fl_oz, part

ESTER = ester()
MAKE = {"make": fl_oz("64")}
STRONG, BARE = part(ESTER, "20"), part(ESTER)
RATE = {"product": {"value": "2", "unit": "qt"}, "per": {"value": "1", "unit": "acre"}}
ACRE = {"value": "1", "unit": "acre"}
LEFT = {"volume": fl_oz("24"), "parts": [STRONG]}
RATIO = {"product": 1, "carrier": 4}
OZ = fl_oz("8")


def problems(body: dict[str, Any]) -> list[dict[str, str]]:
    with pytest.raises(Unreadable) as refused:
        read_fields(body, MixPlan)
    return refused.value.facts["errors"]


@pytest.mark.parametrize(
    ("way", "body"),
    [
        ("make", {**MAKE, "parts": [STRONG]}),
        ("make", {**MAKE, "parts": [STRONG], "leftover": LEFT}),
        ("ratio", {**MAKE, "parts": [BARE], "parts_ratio": RATIO}),
        ("rate", {**MAKE, "parts": [BARE], "rate": RATE, "area": ACRE}),
        ("rate", {"parts": [BARE], "rate": {**RATE, "mix": fl_oz("640")}, "area": ACRE}),
        ("have", {"parts": [STRONG], "have": {"product": OZ}}),
        ("have", {"parts": [BARE], "have": {"product": OZ, "carrier": OZ}}),
        ("have", {"have": {"carrier": OZ}, "leftover": LEFT}),
        ("dilute", {"parts": [STRONG], "leftover": LEFT}),
    ],
)
def test_each_way_of_asking_is_read(way, body):
    assert read_fields(body, MixPlan).way == way


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ({}, "Say how much to make"),
        ({"parts": [STRONG]}, "Say how much to make"),
        ({**MAKE, "parts": []}, "Give each product of the mix its strength"),
        ({**MAKE, "parts": [BARE]}, "Give each product of the mix its strength"),
        ({**MAKE, "parts": [STRONG, BARE]}, "Give each product of the mix its strength"),
        ({**MAKE, "parts": [BARE], "parts_ratio": RATIO, "have": {"product": OZ}}, "in one way"),
        ({**MAKE, "parts": [BARE], "parts_ratio": RATIO, "rate": RATE, "area": ACRE}, "in one way"),
        ({"parts": [BARE], "parts_ratio": RATIO}, "Say with make how much mix"),
        ({**MAKE, "parts": [STRONG], "parts_ratio": RATIO}, "name one product and no strength"),
        ({**MAKE, "parts": [BARE, BARE], "parts_ratio": RATIO}, "name one product and no strength"),
        ({**MAKE, "parts": [BARE], "rate": RATE}, "A rate needs an area"),
        ({**MAKE, "parts": [BARE], "area": ACRE}, "A rate needs an area"),
        ({"parts": [BARE], "rate": RATE, "area": ACRE}, "in one way: with make, or with the rate of mix"),
        (
            {**MAKE, "parts": [BARE], "rate": {**RATE, "mix": OZ}, "area": ACRE},
            "in one way: with make, or with the rate",
        ),
        ({**MAKE, "parts": [STRONG], "rate": RATE, "area": ACRE}, "name one product and no strength"),
        ({**MAKE, "parts": [STRONG], "have": {"product": OZ}}, "leave make away"),
        ({"parts": [STRONG], "have": {}}, "name in parts the one product"),
        ({"have": {}}, "Say what is at hand"),
        ({"have": {"product": OZ}}, "name in parts the one product"),
        ({"parts": [STRONG, STRONG], "have": {"product": OZ}}, "name in parts the one product"),
        ({"parts": [BARE], "have": {"product": OZ}}, "Give the strength that is wanted"),
        ({"parts": [STRONG], "have": {"product": OZ, "carrier": OZ}}, "leave the strength away"),
        ({"parts": [STRONG], "have": {"product": OZ}, "leftover": LEFT}, "leave the strength away"),
        ({"have": {"carrier": OZ}}, "Carrier alone makes no mix"),
        ({"parts": [], "leftover": LEFT}, "To bring a leftover down"),
        ({"parts": [BARE], "leftover": LEFT}, "To bring a leftover down"),
    ],
)
def test_what_is_asked_in_no_way_or_in_two_is_refused_in_words(body, words):
    [problem] = problems(body)

    assert (problem["pointer"], problem["code"]) == ("", "mix_unclear")
    assert words in problem["detail"]


@pytest.mark.parametrize("asked", [{"have": {"product": OZ}, "parts": [STRONG]}, {"leftover": LEFT, "parts": [STRONG]}])
def test_adjuvants_go_with_an_amount_of_mix(asked):
    dye = {"name": "dye", "strength": {"value": "1", "basis": "product_v_v"}}

    [problem] = problems({**asked, "adjuvants": [dye]})

    assert problem["code"] == "mix_unclear"


@pytest.mark.parametrize(
    ("strength", "pointer", "code"),
    [
        ({"value": "20"}, "", "basis_missing"),
        ({"value": "20", "basis": "percent"}, "", "basis_unknown"),
        ({"value": "120", "basis": "product_v_v"}, "", "strength_above_100"),
        ({"value": "0", "basis": "product_v_v"}, "", "strength_not_positive"),
        ({"value": "twenty", "basis": "product_v_v"}, "", "number_unreadable"),
        ({"value": 20, "basis": "product_v_v"}, "/value", "value_invalid"),
        ("20 %", "", "value_invalid"),
    ],
)
def test_a_strength_that_does_not_say_what_it_is_of_is_refused(strength, pointer, code):
    [problem] = problems({**MAKE, "parts": [{"product": str(ESTER.id), "strength": strength}]})

    assert (problem["pointer"], problem["code"]) == (f"/parts/0/strength{pointer}", code)


@pytest.mark.parametrize("ratio", ["1:4", [1, 4], {"product": 1}, {"product": 1, "water": 4}, 0.25])
def test_a_ratio_that_does_not_name_its_parts_is_refused(ratio):
    [problem] = problems({**MAKE, "parts": [BARE], "parts_ratio": ratio})

    assert (problem["pointer"], problem["code"]) == ("/parts_ratio", "ratio_unnamed")
    assert "Name the parts" in problem["detail"]


@pytest.mark.parametrize(
    ("ratio", "code"),
    [
        ({"product": 0.5, "carrier": 2}, "value_invalid"),
        ({"product": True, "carrier": 2}, "value_invalid"),
        ({"product": 0, "carrier": 2}, "amount_not_positive"),
        ({"product": "one", "carrier": 2}, "number_unreadable"),
    ],
)
def test_a_part_is_a_whole_number_or_decimal_text(ratio, code):
    [problem] = problems({**MAKE, "parts": [BARE], "parts_ratio": ratio})

    assert (problem["pointer"], problem["code"]) == ("/parts_ratio", code)


@pytest.mark.parametrize(
    ("make", "code"),
    [
        ({"value": "64", "unit": "each"}, "unit_unknown"),
        ({"value": "64", "unit": "oz"}, "unit_wrong_dimension"),
        ({"value": "-1", "unit": "gal"}, "amount_negative"),
        ({"value": "1000000000", "unit": "gal"}, "amount_absurd"),
    ],
)
def test_a_mix_is_a_volume(make, code):
    [problem] = problems({"make": make, "parts": [STRONG]})

    assert (problem["pointer"], problem["code"]) == ("/make", code)


def test_a_rate_is_neither_a_count_nor_an_area():
    [problem] = problems({**MAKE, "parts": [BARE], "rate": {**RATE, "product": ACRE}, "area": ACRE})

    assert (problem["pointer"], problem["code"]) == ("/rate/product", "unit_wrong_dimension")


def test_an_adjuvant_has_a_strength_by_product():
    dye = {"name": "dye", "strength": {"value": "1", "basis": "ai_w_v"}}

    [problem] = problems({**MAKE, "parts": [STRONG], "adjuvants": [dye]})

    assert problem["pointer"] == "/adjuvants/0"


@pytest.mark.parametrize("method", ["pulling", "dabbing"])
def test_a_mix_is_for_a_method_with_herbicide(method):
    [problem] = problems({**MAKE, "parts": [STRONG], "method": method})

    assert problem["pointer"] == "/method"
