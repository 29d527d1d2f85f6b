"""Rates over an area, against printed examples and independent arithmetic."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stewardship.rules.mixes import (
    amount_in_load,
    amount_over_area,
    area_covered_mm2,
    product_nl,
    product_nl_holding,
    product_ug_holding,
    rate_of_amount,
)
from stewardship.rules.refusals import RuleViolation
from tests.published import printed_number, published, within_print
from tests.stewardship.rules.mixes.measures import ACRE_MM2, BASE, FL_OZ_NL, GAL_NL, LB_PER_GAL, LB_UG, SQ_FT_MM2, pct

amounts = st.integers(1, 10**14)


@pytest.mark.parametrize("row", published("agrochemical_safety_examples"), ids=lambda row: row["rate_unit"])
def test_a_rate_on_a_part_of_a_field_gives_the_amount_in_print(row):
    unit = BASE[row["rate_unit"]]

    amount = amount_over_area(
        rate=Fraction(row["rate"]) * unit, per_mm2=ACRE_MM2, area_mm2=Fraction(row["acres"]) * ACRE_MM2
    )

    assert amount == Fraction(row["rate"]) * Fraction(row["acres"]) * unit
    assert within_print(amount / BASE[row["amount_unit"]], row["amount"])
    assert rate_of_amount(
        amount=amount, area_mm2=Fraction(row["acres"]) * ACRE_MM2, per_mm2=ACRE_MM2
    ) / unit == Fraction(row["rate"])


@pytest.mark.parametrize("row", published("agrochemical_safety_dry"), ids=str)
def test_a_wettable_powder_weighs_more_than_its_active_ingredient(row):
    active = Fraction(row["lb_ai_per_acre"]) * LB_UG

    product = product_ug_holding(substance_ug=active, fraction_w_w=pct(row["powder_pct"]))

    assert within_print(product / LB_UG, row["lb_product"])


@pytest.mark.parametrize("row", [*published("sprayer_worksheet_9164538"), *published("nc_state_backpack")])
def test_a_load_of_mix_takes_its_part_of_the_rate(row):
    rate = printed_number(row["product_per_acre"]) * BASE[row["unit_per_acre"]]
    load, mix_rate = printed_number(row["load_gal"]) * GAL_NL, printed_number(row["mix_gal_per_acre"]) * GAL_NL

    product = amount_in_load(load_nl=load, mix_rate_nl=mix_rate, rate=rate)

    covered = area_covered_mm2(mix_nl=load, mix_rate_nl=mix_rate, per_mm2=ACRE_MM2)
    assert within_print(product / BASE[row["unit"]], row["product"])
    assert amount_over_area(rate=rate, per_mm2=ACRE_MM2, area_mm2=covered) == product


@pytest.mark.parametrize("row", published("pnw_weights_1000_sq_ft"))
def test_a_pound_an_acre_on_1000_square_feet_takes_the_product_in_print(row):
    active = amount_over_area(rate=LB_UG, per_mm2=ACRE_MM2, area_mm2=1000 * SQ_FT_MM2)
    strength = Fraction(row["strength"])

    if row["strength_unit"] == "pct":
        product = product_ug_holding(substance_ug=active, fraction_w_w=strength / 100)
    else:
        product = product_nl_holding(substance_ug=active, g_per_l=strength * LB_PER_GAL)

    assert active == LB_UG * 1000 / 43_560
    assert within_print(product / BASE[row["unit"]], row["product"])


@pytest.mark.parametrize("row", published("pnw_wild_blackberry"))
def test_pounds_of_acid_an_acre_are_ounces_of_product(row):
    acid = Fraction(row["lb_ae_per_acre"]) * LB_UG

    product = product_nl_holding(substance_ug=acid, g_per_l=Fraction(row["product_lb_ae_gal"]) * LB_PER_GAL)

    assert product / FL_OZ_NL == 128 * Fraction(row["lb_ae_per_acre"]) / Fraction(row["product_lb_ae_gal"])
    assert within_print(product / FL_OZ_NL, row["product_fl_oz"])


@pytest.mark.parametrize("row", published("tnc_digest_031"), ids=lambda row: row["mix_gal_per_acre"])
def test_a_percent_is_a_rate_only_with_the_volume_of_mix_on_an_acre(row):
    mix_nl = printed_number(row["mix_gal_per_acre"]) * GAL_NL

    product = product_nl(mix_nl=mix_nl, product_fraction=pct(row["strength_pct"]))

    assert within_print(product / GAL_NL * Fraction(row["product_lb_ae_gal"]), row["lb_ae_per_acre"])


@pytest.mark.parametrize("row", published("spot_treatment_per_acre"), ids=str)
def test_a_spot_treatment_is_held_against_an_acre(row):
    product = product_nl(mix_nl=printed_number(row["mix_gal"]) * GAL_NL, product_fraction=pct(row["strength_pct"]))
    acid_lb = product / GAL_NL * Fraction(row["product_lb_ae_gal"])

    rate_lb = (
        rate_of_amount(amount=acid_lb * LB_UG, area_mm2=Fraction(row["acres"]) * ACRE_MM2, per_mm2=ACRE_MM2) / LB_UG
    )

    assert within_print(acid_lb, row["lb_ae"])
    assert within_print(rate_lb, row["lb_ae_per_acre"])


@given(amounts, amounts, amounts)
def test_a_rate_and_its_amount_undo_each_other(rate, per_mm2, area_mm2):
    amount = amount_over_area(rate=rate, per_mm2=per_mm2, area_mm2=area_mm2)

    assert rate_of_amount(amount=amount, area_mm2=area_mm2, per_mm2=per_mm2) == rate


@pytest.mark.parametrize(
    "call",
    [
        lambda: amount_over_area(rate=0, per_mm2=1, area_mm2=1),
        lambda: amount_over_area(rate=1, per_mm2=0, area_mm2=1),
        lambda: amount_over_area(rate=1, per_mm2=1, area_mm2=0),
        lambda: rate_of_amount(amount=1, area_mm2=0, per_mm2=1),
        lambda: area_covered_mm2(mix_nl=1, mix_rate_nl=0, per_mm2=1),
        lambda: amount_in_load(load_nl=1, mix_rate_nl=0, rate=1),
    ],
)
def test_a_rate_of_nothing_or_on_nothing_is_refused(call):
    with pytest.raises(RuleViolation) as refusal:
        call()

    assert refusal.value.code == "amount_not_positive"
