"""Amounts of product in a mix, against printed tables and against independent arithmetic."""

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stewardship.rules.mixes import (
    fraction_of_parts,
    mix_from_pour,
    mix_from_product,
    product_into_carrier,
    product_nl,
    product_nl_holding,
    product_ug_holding,
    substance_ug_by_weight,
    ug_in_pieces,
)
from stewardship.rules.refusals import RuleViolation
from stewardship.rules.strength import LabelFacts, product_fraction, strengths
from tests.published import printed_number, published, within_print
from tests.stewardship.rules.mixes.measures import FL_OZ_NL, GAL_NL, LB_PER_GAL, LB_UG, NL, UG, pct

WATER_G_PER_L = Fraction(1000)
GLYPHOSATE_41 = LabelFacts(
    ai_percent_w_w=Fraction(41), ai_g_per_l=4 * LB_PER_GAL, ae_g_per_l=3 * LB_PER_GAL
)  # ingredient statement, EPA Reg. No. 42750-61
volumes = st.integers(1, 10**13)
shares = st.fractions(Fraction(1, 10**6), Fraction(999_999, 10**6), max_denominator=10**6)


@pytest.fixture(scope="module")
def registry():
    return pint.UnitRegistry(non_int_type=Fraction)


@pytest.mark.parametrize("row", published("illinois_bulletin_10_5"), ids=str)
def test_handheld_sprayers_take_the_product_that_illinois_prints(row):
    mix_nl = printed_number(row["mix_gal"]) * GAL_NL

    product = product_nl(mix_nl=mix_nl, product_fraction=pct(row["strength_pct"]))

    assert within_print(product / FL_OZ_NL, row["product_fl_oz"])


@pytest.mark.parametrize("row", published("modot_821_15_1"), ids=str)
def test_a_gallon_of_mix_takes_the_product_that_missouri_dot_prints(row):
    product = product_nl(mix_nl=GAL_NL, product_fraction=pct(row["strength_pct"]))

    assert within_print(product / NL[row["unit"]], row["product"])


@pytest.mark.parametrize("row", published("finished_gallon"), ids=str)
def test_a_finished_gallon_holds_product_and_the_rest_is_carrier(row, registry):
    share = pct(row["strength_pct"])
    product = product_nl(mix_nl=GAL_NL, product_fraction=share)
    per_litre = product_nl(mix_nl=NL["l"], product_fraction=share)

    assert product / FL_OZ_NL == 128 * share
    assert product == (registry.Quantity(share, "gallon")).to("nanoliter").magnitude
    assert within_print(product / FL_OZ_NL, row["product_fl_oz"])
    assert within_print((GAL_NL - product) / FL_OZ_NL, row["carrier_fl_oz"])
    assert within_print(product / NL["ml"], row["ml_per_gal"])
    assert within_print(per_litre / NL["ml"], row["ml_per_l"])


@pytest.mark.parametrize("row", published("percent_and_parts"))
def test_33_percent_is_not_one_part_in_three(row):
    share = fraction_of_parts({"product": int(row["product_parts"]), "carrier": int(row["carrier_parts"])})

    product = product_nl(mix_nl=GAL_NL, product_fraction=share)

    assert within_print(product / FL_OZ_NL, row["product_fl_oz"])
    assert within_print(product / NL["ml"], row["product_ml"])


@pytest.mark.parametrize("row", published("into_a_full_gallon"))
def test_product_added_to_a_full_gallon_of_carrier_makes_a_weaker_mix(row):
    poured_nl = printed_number(row["product_fl_oz"]) * FL_OZ_NL
    needed_nl = product_into_carrier(carrier_nl=GAL_NL, product_fraction=pct(row["strength_pct"]))

    made = mix_from_pour(products={"p": poured_nl}, carrier="water", carrier_nl=GAL_NL)

    assert within_print(100 * made.fraction("p"), row["strength_pct"])
    assert needed_nl / FL_OZ_NL == 128 * pct(row["strength_pct"]) / (1 - pct(row["strength_pct"]))
    assert within_print(round(needed_nl / FL_OZ_NL, 3), row["product_fl_oz"]) or row["id"] == "D14"


def test_25_6_and_64_ounces_into_a_full_gallon_are_a_sixth_and_a_third():
    for ounces, share in ((Fraction("25.6"), Fraction(1, 6)), (Fraction(64), Fraction(1, 3))):
        made = mix_from_pour(products={"p": ounces * FL_OZ_NL}, carrier="water", carrier_nl=GAL_NL)

        assert made.fraction("p") == share
        assert product_into_carrier(carrier_nl=GAL_NL, product_fraction=share) == ounces * FL_OZ_NL


@pytest.mark.parametrize("row", published("adjuvant_rates"))
def test_an_adjuvant_is_a_share_of_the_finished_mix(row, registry):
    mix_nl, share = printed_number(row["mix_gal"]) * GAL_NL, pct(row["strength_pct"])

    amount = product_nl(mix_nl=mix_nl, product_fraction=share)

    assert amount == registry.Quantity(printed_number(row["mix_gal"]) * share, "gallon").to("nanoliter").magnitude
    assert within_print(amount / NL[row["unit"]], row["amount"])


@pytest.mark.parametrize("row", published("texas_agrilife_cut_stump"))
def test_cut_stump_mixes_take_the_product_that_texas_prints(row):
    mix_nl = printed_number(row["mix_gal"]) * GAL_NL

    product = product_nl(mix_nl=mix_nl, product_fraction=pct(row["strength_pct"]))

    assert within_print(product / NL[row["unit"]], row["product"])


@pytest.mark.parametrize("row", published("umn_cut_stump_25"))
def test_25_percent_by_label_takes_more_of_the_weaker_jug(row):
    facts = LabelFacts(ai_percent_w_w=Fraction(row["label_pct"]))

    share = product_fraction(row["wanted_pct"], "label_percent_share", facts)
    product = product_nl(mix_nl=GAL_NL, product_fraction=share)

    assert share == Fraction(row["wanted_pct"]) / Fraction(row["label_pct"])
    assert within_print(100 * share, row["product_pct"])
    assert within_print(product / FL_OZ_NL, row["product_fl_oz"])


def test_equal_parts_of_a_41_percent_concentrate_are_exactly_20_5_common_practice_no_source():
    share = fraction_of_parts({"product": 1, "carrier": 1})

    assert strengths(share, GLYPHOSATE_41)["label_percent_share"] == Fraction(41, 2)


@pytest.mark.parametrize("row", published("basal_mix_20"))
def test_a_basal_mix_holds_the_acid_that_is_printed(row):
    facts = LabelFacts(ae_g_per_l=Fraction(row["product_lb_ae_gal"]) * LB_PER_GAL)

    strength = strengths(pct(row["strength_pct"]), facts)["ae_g_l"]

    assert strength == Fraction(4, 5) * LB_PER_GAL
    assert within_print(strength / LB_PER_GAL if row["unit"] == "lb_gal" else strength, row["strength"])


@pytest.mark.parametrize("row", published("army_md0173_suspension"), ids=str)
def test_a_suspension_by_weight_takes_the_powder_that_the_army_prints(row):
    substance = substance_ug_by_weight(
        mix_nl=printed_number(row["mix_gal"]) * GAL_NL,
        fraction_w_w=pct(row["suspension_pct"]),
        density_g_per_l=Fraction(row["water_lb_per_gal"]) * LB_PER_GAL,
    )

    powder = product_ug_holding(substance_ug=substance, fraction_w_w=pct(row["powder_pct"]))

    assert powder / LB_UG == 5 * Fraction("0.02") * Fraction("8.34") / Fraction("0.80")
    assert within_print(powder / LB_UG, row["powder_lb"])
    assert within_print(powder / LB_UG, row["powder_lb_exact"])


@pytest.mark.parametrize("row", published("virginia_dwr_rates"))
def test_one_percent_by_weight_of_water_is_a_weight_and_not_a_volume(row):
    substance = substance_ug_by_weight(
        mix_nl=NL[row["unit"]], fraction_w_w=pct(row["strength_pct"]), density_g_per_l=WATER_G_PER_L
    )

    assert substance == NL[row["unit"]] / 100  # a nL of water weighs a ug
    assert within_print(substance / UG[row["substance_unit"]], row["substance"])


@pytest.mark.parametrize("row", published("missouri_g7510"))
def test_one_percent_active_ingredient_in_the_spray_takes_the_exact_product(row):
    density = Fraction(row["water_lb_per_100_gal"]) / 100 * LB_PER_GAL
    substance = substance_ug_by_weight(
        mix_nl=printed_number(row["mix_gal"]) * GAL_NL, fraction_w_w=pct(row["ai_pct"]), density_g_per_l=density
    )

    product = product_nl_holding(substance_ug=substance, g_per_l=Fraction(row["product_lb_per_gal"]) * LB_PER_GAL)

    assert product / GAL_NL == Fraction("8.345") / Fraction(row["product_lb_per_gal"])
    assert within_print(product / GAL_NL, row["product_gal"])


@pytest.mark.parametrize("row", published("pnw_knotweed_8533"), ids=str)
def test_an_ounce_rate_added_to_a_gallon_is_weaker_than_in_a_finished_gallon(row):
    product = printed_number(row["product_fl_oz"]) * FL_OZ_NL
    acid_lb = product / GAL_NL * Fraction(row["product_lb_ae_gal"])

    added = mix_from_pour(products={"p": product}, carrier="water", carrier_nl=GAL_NL)
    finished = mix_from_pour(products={"p": product}, carrier="water", carrier_nl=GAL_NL - product)

    assert within_print(acid_lb, row["lb_ae"])
    assert within_print(acid_lb, row["lb_ae_exact"])
    assert within_print(100 * added.fraction("p"), row["of_whole_pct"])
    assert within_print(100 * finished.fraction("p"), row["of_finished_pct"])


def test_64_ounces_at_20_percent_hold_12_8_ounces_of_product():
    assert product_nl(mix_nl=64 * FL_OZ_NL, product_fraction=Fraction(1, 5)) == Fraction("12.8") * FL_OZ_NL


def test_pieces_count_by_their_stated_content():
    assert ug_in_pieces(pieces=3, ug_per_piece=5 * 10**6) == 15 * 10**6


@given(volumes, shares)
def test_mix_from_product_undoes_product_of_mix(mix_nl, share):
    product = product_nl(mix_nl=mix_nl, product_fraction=share)

    assert mix_from_product(product_nl=product, product_fraction=share) == mix_nl


@given(volumes, shares)
def test_what_is_poured_into_a_full_measure_has_the_strength_wanted(carrier_nl, share):
    product = product_into_carrier(carrier_nl=carrier_nl, product_fraction=share)

    assert product / (product + carrier_nl) == share


@pytest.mark.parametrize(
    "ratio", ["1:4", (1, 4), [1, 4], {"product": 1}, {"product": 1, "water": 4}, {"a": 1, "b": 4}, None, {}]
)
def test_a_ratio_that_does_not_name_product_and_carrier_is_refused(ratio):
    with pytest.raises(RuleViolation) as refusal:
        fraction_of_parts(ratio)

    assert refusal.value.code == "ratio_unnamed"
    assert refusal.value.where == "parts_ratio"
    assert '{"product": 1, "carrier": 4}' in refusal.value.message


def test_one_part_of_product_and_four_of_carrier_are_a_fifth():
    assert fraction_of_parts({"product": 1, "carrier": 4}) == Fraction(1, 5)


@pytest.mark.parametrize(
    ("code", "call"),
    [
        ("amount_not_positive", lambda: product_nl(mix_nl=0, product_fraction=Fraction(1, 5))),
        ("amount_not_positive", lambda: mix_from_product(product_nl=-1, product_fraction=Fraction(1, 5))),
        ("amount_not_positive", lambda: product_into_carrier(carrier_nl=0, product_fraction=Fraction(1, 5))),
        ("amount_not_positive", lambda: fraction_of_parts({"product": 0, "carrier": 4})),
        ("amount_not_positive", lambda: fraction_of_parts({"product": 1, "carrier": -4})),
        ("amount_not_positive", lambda: product_nl_holding(substance_ug=1, g_per_l=Fraction(0))),
        ("amount_not_positive", lambda: ug_in_pieces(pieces=0, ug_per_piece=1)),
        ("strength_not_positive", lambda: product_nl(mix_nl=1, product_fraction=Fraction(0))),
        ("strength_not_positive", lambda: product_nl(mix_nl=1, product_fraction=Fraction(-1, 5))),
        ("concentrate_too_weak", lambda: product_nl(mix_nl=1, product_fraction=Fraction(101, 100))),
        ("undiluted_has_no_carrier", lambda: product_into_carrier(carrier_nl=1, product_fraction=Fraction(1))),
        ("piece_content_unknown", lambda: ug_in_pieces(pieces=3, ug_per_piece=None)),
    ],
)
def test_amounts_that_cannot_be_are_refused_by_code(code, call):
    with pytest.raises(RuleViolation) as refusal:
        call()

    assert refusal.value.code == code
    assert refusal.value.message.endswith(".")


def test_undiluted_product_is_the_whole_of_its_mix():
    assert product_nl(mix_nl=7, product_fraction=Fraction(1)) == 7


def test_a_float_is_no_amount():
    with pytest.raises(TypeError):
        product_nl(mix_nl=0.2, product_fraction=Fraction(1, 5))
    with pytest.raises(TypeError):
        product_nl(mix_nl=1, product_fraction=0.2)
