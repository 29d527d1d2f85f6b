"""Slips that regulators publish, flagged with their numbers; and what is no slip, left alone.

New York Pesticide Reporting Law guidance, common problems tables: diluted amount for product, decimal slips, units.
California DPR, Pesticide Use Report Data User Guide, rev. July 2002: the outlier program compares with a median.
Conversions are NIST Handbook 44, Appendix C: 128 US fluid ounces, 32 of them in a quart, make a US gallon.
"""

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest

from stewardship.rules.screening import (
    LEAST_EARLIER,
    Entered,
    Line,
    Usual,
    against_mix,
    against_usual,
    alike,
    hours_in_a_day,
    usual_of,
)
from stewardship.rules.units import Dimension, to_base

BATCH = "an invented label"


def nl(value, unit="fl_oz"):
    return to_base(value, unit, Dimension.VOLUME)


def entered(value, unit="fl_oz", **more):
    return Entered(nl(value, unit), value, unit, **more)


def usual(low="12.8", high="12.8", unit="fl_oz"):
    return Usual(nl(low, unit), nl(high, unit), BATCH)


# -- product and mix -----------------------------------------------------------------------------


def test_gallons_written_for_ounces_are_more_product_than_mix():
    """64 fl oz at 20 % take 12.8 fl oz of product; 12.8 gal was written."""
    mark = against_mix(entered("12.8", "gal", mix_nl=nl("64")))

    assert mark.code == "more_product_than_mix"
    assert "12.8 gal, is more than the whole mix, 0.5 gal" in mark.detail
    assert mark.source


def test_the_diluted_amount_entered_as_product_is_the_whole_mix():
    mark = against_mix(entered("64", mix_nl=nl("64")))

    assert mark.code == "product_is_whole_mix"
    assert "64 fl_oz" in mark.detail


def test_a_product_that_is_used_undiluted_is_its_own_mix():
    line = entered("64", mix_nl=nl("64"), is_undiluted=True)

    assert against_mix(line) is None
    assert against_mix(replace(line, product_nl=line.product_nl + 1)).code == "more_product_than_mix"


@pytest.mark.parametrize("line", [entered("12.8", mix_nl=nl("64")), entered("12.8")])
def test_less_product_than_mix_is_no_mark_and_neither_is_an_unknown_mix(line):
    assert against_mix(line) is None


# -- the usual -----------------------------------------------------------------------------------


def test_gallons_written_for_ounces_are_128_times_the_usual_and_the_ounces_are_offered():
    mark = against_usual(entered("12.8", "gal"), usual())

    assert mark.code == "hundredfold_above_usual"
    assert "12.8 gal is 128 times the usual 0.1 gal (an invented label)" in mark.detail
    assert mark.detail.endswith("Was it 12.8 fl_oz?")


def test_ounces_written_for_gallons_are_offered_the_other_way():
    mark = against_usual(entered("2"), usual("2", "2", "gal"))

    assert mark.code == "hundredfold_below_usual"
    assert mark.detail.endswith("Was it 2 gal?")


@pytest.mark.parametrize(
    ("value", "code"),
    [
        ("99.9", None),
        ("100", "tenfold_above_usual"),
        ("999.9", "tenfold_above_usual"),
        ("1000", "hundredfold_above_usual"),
        ("1.01", None),
        ("1", "tenfold_below_usual"),
        ("0.11", "tenfold_below_usual"),
        ("0.1", "hundredfold_below_usual"),
        ("10", None),
    ],
)
def test_a_slip_of_the_decimal_point_is_marked_from_ten_and_from_a_hundred_times(value, code):
    mark = against_usual(entered(value, "ml"), usual("10", "10", "ml"))

    assert (mark.code if mark else None) == code


def test_a_range_is_compared_with_its_nearer_end():
    stated = usual("1", "5", "ml")

    assert against_usual(entered("49.9", "ml"), stated) is None
    assert against_usual(entered("50", "ml"), stated).code == "tenfold_above_usual"
    assert against_usual(entered("0.1", "ml"), stated).code == "tenfold_below_usual"


def test_where_no_unit_makes_it_usual_the_decimal_point_is_asked_about():
    assert against_usual(entered("100", "ml"), usual("10", "10", "ml")).detail.endswith("decimal point and the unit.")


def test_nothing_used_is_compared_with_nothing():
    assert against_usual(entered("0"), usual()) is None
    assert against_usual(entered("5"), usual("0", "0")) is None


def test_the_usual_is_the_median_of_enough_earlier_lines():
    earlier = [nl(value) for value in ("1", "2", "3", "4", "1000")]

    assert usual_of(earlier).low_nl == usual_of(earlier).high_nl == nl("3")
    assert usual_of([*earlier, nl("5")]).low_nl == Fraction(nl("3") + nl("4"), 2)
    assert "5 earlier like lines" in usual_of(earlier).source
    assert usual_of(earlier[: LEAST_EARLIER - 1]) is None
    assert usual_of([0] * LEAST_EARLIER) is None


# -- hours ---------------------------------------------------------------------------------------


def test_more_than_24_hours_of_a_person_on_a_date_are_marked():
    on = date(2027, 5, 1)

    assert hours_in_a_day([600, 840], on) is None
    mark = hours_in_a_day([600, 841], on)
    assert mark.code == "more_hours_than_a_day"
    assert "24.02 hours on 2027-05-01" in mark.detail


# -- duplicates ----------------------------------------------------------------------------------

FIRST = Line(date(2027, 5, 1), "north", "Rhamnus cathartica", "basal_bark", "ester", 1000, "Maren")


@pytest.mark.parametrize("amount", [900, 1000, 1111])
def test_two_people_with_like_amounts_of_the_same_may_have_entered_it_twice(amount):
    second = replace(FIRST, entered_by="Tobias", amount_nl=amount)

    assert alike(FIRST, second)
    assert alike(second, FIRST)


@pytest.mark.parametrize(
    "difference",
    [
        {"on_date": date(2027, 5, 2)},
        {"unit": "south"},
        {"species": "Ailanthus altissima"},
        {"method": "cut_stump"},
        {"product": "salt"},
        {"amount_nl": 899},
        {"amount_nl": 1112},
        {"entered_by": "Maren"},
    ],
    ids=lambda difference: next(iter(difference)),
)
def test_whatever_differs_else_makes_two_lines(difference):
    second = replace(FIRST, **{"entered_by": "Tobias"} | difference)

    assert not alike(FIRST, second)
    assert not alike(second, FIRST)
