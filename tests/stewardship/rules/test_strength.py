"""Strengths on every basis against print, and both edges of what may be asked for."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stewardship.rules.chemistry import acid_equivalent_factor
from stewardship.rules.decimals import NumberUnreadable
from stewardship.rules.labels import LabelFacts
from stewardship.rules.strength import (
    BASES,
    DRY_BASES,
    LIQUID_BASES,
    BasisMissing,
    BasisUnknown,
    ConcentrateTooWeak,
    StrengthAbove100,
    StrengthNotPositive,
    StrengthUnknowable,
    dry_product_g_per_l,
    g_per_l,
    product_fraction,
    strengths,
)
from stewardship.rules.units import UNITS, Dimension, from_base, to_base
from tests.published import published, within_print

RATES = published("rate_pairs")
BASES_IN_PRINT = published("strength_bases")

# EPA Reg. No. 42750-61: 41 % glyphosate isopropylamine salt by weight, 4 lb of it and 3 lb of acid in a US gallon
FORTY_ONE = LabelFacts(ai_percent_w_w=Fraction(41), ai_g_per_l=g_per_l(4), ae_g_per_l=g_per_l(3))
POWDER = LabelFacts(ai_percent_w_w=Fraction(80), ae_percent_w_w=Fraction(60))
NOTHING_KNOWN = LabelFacts()

shares = st.fractions(min_value=0, max_value=1, max_denominator=10**6).filter(bool)


@pytest.mark.parametrize("row", [row for row in RATES if row["use"] == "test"], ids=str)
def test_an_amount_of_product_holds_the_weight_that_is_printed(row):
    product_nl = Fraction(row["amount"]) * UNITS[row["unit"]].per_unit
    undiluted = strengths(Fraction(1), LabelFacts(ae_g_per_l=g_per_l(row["content_lb_gal"])))["ae_g_l"]

    ug = product_nl * undiluted / 1000  # 1 g/L is 1 ug in 1,000 nL

    assert within_print(ug / UNITS[row["printed_unit"]].per_unit, row["printed"])


def test_three_gallons_of_2_per_cent_hold_the_acid_of_their_product():
    mix_nl = to_base("3", "gal", Dimension.VOLUME)
    ae_g_l = strengths(Fraction("0.02"), LabelFacts(ae_g_per_l=g_per_l(4)))["ae_g_l"]

    ug = round(mix_nl * ae_g_l / 1000)

    assert within_print(from_base(ug, "lb"), "0.24")  # A28, computed
    assert within_print(from_base(ug, "g"), "108.86")


def stated(row):
    """Return the label facts of a row; an empty cell is unknown."""
    return LabelFacts(
        ai_percent_w_w=Fraction(row["ai_percent"]) if row["ai_percent"] else None,
        ai_g_per_l=g_per_l(row["ai_lb_gal"]) if row["ai_lb_gal"] else None,
        ae_g_per_l=g_per_l(row["ae_lb_gal"]) if row["ae_lb_gal"] else None,
    )


def named(row):
    return f"{row['id']} {row['basis']}"


@pytest.mark.parametrize("row", [row for row in BASES_IN_PRINT if row["direction"] == "strength"], ids=named)
def test_a_mix_has_the_strength_that_is_printed_on_every_basis(row):
    share = Fraction(row["product_v_v"]) / 100

    assert within_print(strengths(share, stated(row))[row["basis"]], row["strength"])


@pytest.mark.parametrize("row", [row for row in BASES_IN_PRINT if row["direction"] == "product"], ids=named)
def test_ten_per_cent_on_two_bases_are_two_amounts_of_product_and_a_cut_off_print_is_neither(row):
    share = product_fraction(row["strength"], row["basis"], stated(row))

    assert within_print(100 * share, row["product_v_v"]) == (row["use"] == "test")


@pytest.mark.parametrize("row", published("umn_cut_stump_25"), ids=lambda row: row["label_pct"])
def test_25_per_cent_by_label_per_cent_and_share(row):
    facts = LabelFacts(ai_percent_w_w=Fraction(row["label_pct"]))

    fraction = product_fraction(row["wanted_pct"], "label_percent_share", facts)

    assert within_print(100 * fraction, row["product_pct"])


def test_a_pound_in_a_gallon_in_grams_in_a_litre_is_exact():
    assert g_per_l(1) == Fraction("453.59237") / Fraction("3.785411784")
    assert g_per_l("2.5") == g_per_l(Fraction(5, 2)) == g_per_l(5) / 2


@pytest.mark.parametrize("basis", LIQUID_BASES)
@given(share=shares)
def test_a_strength_and_its_share_of_product_lead_to_each_other(basis, share):
    facts = LabelFacts(
        ai_percent_w_w=Fraction(41), ai_g_per_l=g_per_l(4), ae_per_ai=acid_equivalent_factor("C3H8NO5P", "C6H17N2O5P")
    )

    assert product_fraction(strengths(share, facts)[basis], basis, facts) == share


@given(share=shares)
def test_per_cent_and_grams_are_the_same_strength(share):
    found = strengths(share, FORTY_ONE)

    assert (found["ai_g_l"], found["ae_g_l"]) == (10 * found["ai_w_v"], 10 * found["ae_w_v"])


def test_every_liquid_basis_is_answered_and_what_is_unknown_stays_unknown():
    found = strengths(Fraction(1, 5), NOTHING_KNOWN)

    assert list(found) == list(LIQUID_BASES)
    assert found == dict.fromkeys(LIQUID_BASES) | {"product_v_v": 20}


def test_none_is_not_unknown():
    assert strengths(Fraction(1, 5), LabelFacts(ai_g_per_l=Fraction(0)))["ai_g_l"] == 0


def test_a_share_of_product_lies_between_nothing_and_all():
    assert strengths(Fraction(0), FORTY_ONE)["ai_g_l"] == 0
    assert strengths(Fraction(1), FORTY_ONE)["ai_g_l"] == g_per_l(4)
    with pytest.raises(StrengthNotPositive):
        strengths(Fraction(-1, 10**9), FORTY_ONE)
    with pytest.raises(StrengthAbove100):
        strengths(1 + Fraction(1, 10**9), FORTY_ONE)


def test_undiluted_is_the_strongest_mix_and_a_hair_more_is_refused():
    assert product_fraction(41, "label_percent_share", FORTY_ONE) == 1
    assert product_fraction(100, "product_v_v", NOTHING_KNOWN) == 1
    with pytest.raises(ConcentrateTooWeak) as caught:
        product_fraction("41.0000001", "label_percent_share", FORTY_ONE, where="strength.value")

    assert (caught.value.code, caught.value.where) == ("concentrate_too_weak", "strength.value")


def test_a_product_without_active_ingredient_is_too_weak_for_any():
    with pytest.raises(ConcentrateTooWeak):
        product_fraction("0.1", "ai_w_v", LabelFacts(ai_g_per_l=Fraction(0)))


@pytest.mark.parametrize("basis", [None, ""])
@pytest.mark.parametrize("ask", [product_fraction, dry_product_g_per_l])
def test_a_bare_per_cent_is_refused_with_the_bases_there_are(ask, basis):
    with pytest.raises(BasisMissing, match="product_v_v, label_percent_share, ai_w_v") as caught:
        ask("20", basis, FORTY_ONE, where="strength.basis")

    assert (caught.value.code, caught.value.where) == ("basis_missing", "strength.basis")


@pytest.mark.parametrize("basis", ["%", "v/v", "PRODUCT_V_V", "ai_w_w", "ai_w_v "])
@pytest.mark.parametrize("ask", [product_fraction, dry_product_g_per_l])
def test_an_unknown_basis_is_refused_with_the_bases_there_are(ask, basis):
    with pytest.raises(BasisUnknown, match="product_v_v, label_percent_share, ai_w_v") as caught:
        ask("20", basis, FORTY_ONE, where="strength.basis")

    assert (caught.value.code, caught.value.where) == ("basis_unknown", "strength.basis")


@pytest.mark.parametrize("value", ["0", "-1", 0, Fraction(-1, 3)])
@pytest.mark.parametrize("basis", BASES)
def test_a_strength_of_nothing_or_less_is_refused(basis, value):
    ask = dry_product_g_per_l if basis in DRY_BASES else product_fraction
    with pytest.raises(StrengthNotPositive) as caught:
        ask(value, basis, FORTY_ONE, where="strength.value")

    assert (caught.value.code, caught.value.where) == ("strength_not_positive", "strength.value")


@pytest.mark.parametrize(
    ("basis", "whole"),
    [
        ("product_v_v", 100),
        ("label_percent_share", 100),
        ("ai_w_v", 100),
        ("ae_w_v", 100),
        ("ai_g_l", 1000),
        ("ae_g_l", 1000),
    ],
)
def test_more_than_the_whole_is_refused(basis, whole):
    pure = LabelFacts(
        ai_percent_w_w=Fraction(100), ai_g_per_l=Fraction(1000), ae_per_ai=Fraction(1), density_g_per_ml=Fraction(1)
    )

    assert product_fraction(whole, basis, pure) == 1
    with pytest.raises(StrengthAbove100) as caught:
        product_fraction(whole + Fraction(1, 10**9), basis, pure, where="strength.value")

    assert (caught.value.code, caught.value.where) == ("strength_above_100", "strength.value")


@pytest.mark.parametrize("basis", ["label_percent_share", "ai_w_v", "ae_w_v", "ai_g_l", "ae_g_l", *DRY_BASES])
def test_what_the_facts_do_not_lead_to_is_refused(basis):
    with pytest.raises(StrengthUnknowable) as caught:
        product_fraction("5", basis, NOTHING_KNOWN, where="strength")

    assert (caught.value.code, caught.value.where) == ("strength_unknowable", "strength")
    assert caught.value.basis == basis


def test_text_that_is_no_number_is_refused_as_such():
    with pytest.raises(NumberUnreadable):
        product_fraction("20 %", "product_v_v", FORTY_ONE)


@pytest.mark.parametrize("value", [20.0, None, True])
def test_an_inexact_strength_is_a_type_error(value):
    for ask in (product_fraction, dry_product_g_per_l):
        with pytest.raises(TypeError):
            ask(value, "ai_w_v", POWDER)
    with pytest.raises(TypeError):
        strengths(value, POWDER)


def test_a_basis_that_is_no_text_is_a_type_error():
    with pytest.raises(TypeError):
        product_fraction(1, 5, FORTY_ONE)


@pytest.mark.parametrize("row", published("army_md0173_suspension"), ids=str)
def test_a_suspension_takes_the_powder_that_the_army_prints(row):
    powder = LabelFacts(ai_percent_w_w=Fraction(row["powder_pct"]))
    wanted_g_l = Fraction(row["suspension_pct"]) / 100 * g_per_l(row["water_lb_per_gal"])

    lb = dry_product_g_per_l(wanted_g_l, "ai_g_l", powder) / g_per_l(1) * Fraction(row["mix_gal"])

    assert within_print(lb, row["powder_lb"])
    assert lb == Fraction(row["powder_lb_exact"])


def test_ounces_in_a_gallon_of_a_1_per_cent_solution_by_weight_of_water():
    per_litre = dry_product_g_per_l("1.335", "product_oz_gal", NOTHING_KNOWN)

    assert within_print(per_litre, "10")  # D26, Virginia DWR, Formulas for Determining Application Rates: 10 g/L
    assert dry_product_g_per_l(10, "product_g_l", NOTHING_KNOWN) == 10
    assert dry_product_g_per_l(16, "product_oz_gal", NOTHING_KNOWN) == g_per_l(1)


@pytest.mark.parametrize(
    ("basis", "value", "product"), [("ai_g_l", 8, 10), ("ai_w_v", "0.8", 10), ("ae_g_l", 6, 10), ("ae_w_v", "0.6", 10)]
)
def test_a_dry_product_is_weighed_for_what_it_holds(basis, value, product):
    assert dry_product_g_per_l(value, basis, POWDER) == product


def test_the_edges_of_a_dry_strength():
    assert dry_product_g_per_l(1000, "product_g_l", POWDER) == 1000
    assert dry_product_g_per_l(800, "ai_g_l", POWDER) == 1000
    with pytest.raises(StrengthAbove100):
        dry_product_g_per_l("1000.001", "product_g_l", POWDER)
    with pytest.raises(StrengthAbove100):
        dry_product_g_per_l("133.6", "product_oz_gal", POWDER)
    with pytest.raises(ConcentrateTooWeak):
        dry_product_g_per_l("800.001", "ai_g_l", POWDER)


@pytest.mark.parametrize("basis", ["product_v_v", "label_percent_share"])
def test_a_dry_product_has_no_share_of_the_volume(basis):
    with pytest.raises(StrengthUnknowable, match="weighed, not measured by volume"):
        dry_product_g_per_l("5", basis, POWDER)


@pytest.mark.parametrize("basis", ["ai_g_l", "ae_w_v"])
def test_a_dry_product_without_a_per_cent_is_refused(basis):
    with pytest.raises(StrengthUnknowable, match="per cent by weight is not known"):
        dry_product_g_per_l("5", basis, NOTHING_KNOWN)


def test_a_dry_product_without_active_ingredient_is_too_weak():
    with pytest.raises(ConcentrateTooWeak):
        dry_product_g_per_l("5", "ai_g_l", LabelFacts(ai_percent_w_w=Fraction(0)))
