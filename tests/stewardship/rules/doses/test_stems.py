"""Stems and stumps against printed tables, exact arithmetic and an independent library."""

import math
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stewardship.rules.doses import (
    bark_band_mm2,
    basal_area_mm2,
    cuts_around,
    cuts_by_diameter,
    cuts_in_mix,
    diameter_nm,
    girth_nm,
    mix_for_cuts_nl,
    stump_ring_mm2,
)
from stewardship.rules.mixes import product_nl
from stewardship.rules.refusals import RuleViolation
from stewardship.rules.shares import substance_ug
from tests.published import printed_number, published, within_print
from tests.stewardship.rules.doses.lengths import CM_NM, IN_NM, SQ_IN_MM2
from tests.stewardship.rules.mixes.measures import GAL_NL, LB_PER_GAL, NL, SQ_FT_MM2, pct

ML_NL = NL["ml"]
UNITS = pint.UnitRegistry()
lengths_nm = st.integers(10**5, 10**11)  # from a tenth of a millimetre to a hundred metres


def inches(printed: str) -> Fraction:
    return printed_number(printed) * IN_NM


@pytest.mark.parametrize("row", published("pnw_stem_cuts"), ids=str)
def test_a_tree_takes_the_cuts_and_the_mix_of_the_pacific_northwest_handbook(row):
    cuts = cuts_by_diameter(inches(row["diameter_in"]), nm_per_cut=inches(row["inches_per_cut"]))
    mix_nl = mix_for_cuts_nl(cuts, nl_per_cut=printed_number(row["ml_per_cut"]) * ML_NL)
    poured_nl = product_nl(mix_nl=mix_nl, product_fraction=pct(row["mix_pct"]))

    assert cuts == int(row["cuts"])
    assert mix_nl == printed_number(row["mix_ml"]) * ML_NL
    assert poured_nl == printed_number(row["product_ml"]) * ML_NL
    if row["substance_g"]:
        grams = poured_nl * Fraction(row["content_lb_gal"]) * LB_PER_GAL / 10**9
        assert within_print(grams, row["substance_g"])


@pytest.mark.parametrize("row", published("penn_state_cuts"), ids=str)
def test_a_stem_takes_a_cut_an_inch_and_never_fewer_than_two_as_penn_state_prints(row):
    assert cuts_by_diameter(inches(row["diameter_in"]), nm_per_cut=IN_NM, fewest=2) == int(row["cuts"])


@pytest.mark.parametrize("row", published("weeds_australia_spacing"), ids=str)
def test_holes_and_cuts_go_round_a_stem_at_the_australian_spacings(row):
    diameter = printed_number(row["diameter_cm"]) * CM_NM

    assert within_print(girth_nm(diameter) / CM_NM, row["girth_cm"])
    assert cuts_around(diameter, spacing_nm=printed_number(row["spacing_cm"]) * CM_NM) == int(row["cuts"])


@pytest.mark.parametrize("row", published("enloe_single_hack"), ids=str)
def test_a_single_hack_holds_the_acid_of_its_half_millilitre(row):
    mix_nl = mix_for_cuts_nl(1, nl_per_cut=printed_number(row["ml_per_stem"]) * ML_NL)
    strength = printed_number(row["g_ae_per_l"])

    assert substance_ug(product_nl=int(mix_nl), g_per_l=strength) == printed_number(row["g_ae_per_stem"]) * 10**6
    assert within_print(strength / LB_PER_GAL, row["lb_ae_per_gal"])


@pytest.mark.parametrize("row", published("injections_in_a_volume"), ids=lambda row: f"{row['gal']} gal")
def test_a_volume_is_enough_for_so_many_whole_injections(row):
    mix_nl = printed_number(row["gal"]) * GAL_NL
    each_nl = printed_number(row["ml_per_stem"]) * ML_NL

    stems = cuts_in_mix(mix_nl, nl_per_cut=each_nl)

    assert stems == printed_number(row["stems"])
    assert mix_for_cuts_nl(stems, nl_per_cut=each_nl) <= mix_nl < mix_for_cuts_nl(stems + 1, nl_per_cut=each_nl)


@pytest.mark.parametrize("row", published("uc_ipm_girth"), ids=str)
def test_a_diameter_follows_from_a_girth_as_california_prints_it(row):
    exact_in = diameter_nm(inches(row["girth_in"])) / IN_NM

    assert within_print(exact_in, row["exact_in"])
    assert within_print(exact_in, row["printed_about_in"])
    assert printed_number(row["girth_in"]) * Fraction("0.32") == printed_number(row["by_0_32_in"])
    assert abs(exact_in - printed_number(row["by_0_32_in"])) < Fraction("0.06")  # 0.32 for 1/pi: 0.5 % large


@pytest.mark.parametrize("row", published("stump_rings"), ids=lambda row: f"{row['diameter_in']} in")
def test_a_ring_on_a_stump_has_the_area_and_the_part_of_the_face_in_the_table(row):
    diameter = inches(row["diameter_in"])

    ring = stump_ring_mm2(diameter, width_nm=inches(row["width_in"]))

    assert within_print(ring / SQ_IN_MM2, row["ring_sq_in"])
    assert within_print(100 * ring / basal_area_mm2(diameter), row["part_pct"])


def test_a_ring_that_meets_itself_is_the_whole_face():
    face = basal_area_mm2(6 * IN_NM)

    assert stump_ring_mm2(6 * IN_NM, width_nm=3 * IN_NM - 1) < face
    assert stump_ring_mm2(6 * IN_NM, width_nm=3 * IN_NM) == face
    assert stump_ring_mm2(6 * IN_NM, width_nm=4 * IN_NM) == face


@pytest.mark.parametrize(
    "row", published("bark_bands"), ids=lambda row: f"{row['diameter_in']} x {row['height_in']} in"
)
def test_a_band_of_bark_has_the_area_in_the_table(row):
    band = bark_band_mm2(inches(row["diameter_in"]), height_nm=inches(row["height_in"]))

    assert within_print(band / SQ_IN_MM2, row["band_sq_in"])


@pytest.mark.parametrize(
    "row", published("basal_area"), ids=lambda row: f"{row['id']} {row['trees']} x {row['dbh_in']} in"
)
def test_the_basal_area_of_trees_is_that_of_the_forestry_tables(row):
    area = int(row["trees"]) * basal_area_mm2(inches(row["dbh_in"]))

    assert within_print(area / SQ_FT_MM2, row["sq_ft"])


@given(lengths_nm, lengths_nm)
def test_areas_and_diameters_equal_those_of_an_independent_library(diameter, height):
    stem = diameter * UNITS.nanometer

    disc, band = (math.pi * (stem / 2) ** 2).to("mm^2"), (math.pi * stem * height * UNITS.nanometer).to("mm^2")

    assert float(basal_area_mm2(diameter)) == pytest.approx(disc.magnitude, rel=1e-12)
    assert float(bark_band_mm2(diameter, height_nm=height)) == pytest.approx(band.magnitude, rel=1e-12)
    assert float(girth_nm(diameter)) == pytest.approx((math.pi * stem).magnitude, rel=1e-12)


@given(lengths_nm)
def test_diameter_and_girth_undo_each_other(diameter):
    assert diameter_nm(girth_nm(diameter)) == diameter


@given(lengths_nm, lengths_nm)
def test_the_cuts_of_a_stem_are_never_too_few_and_never_one_too_many(diameter, spacing):
    by_diameter = cuts_by_diameter(diameter, nm_per_cut=spacing)
    around = cuts_around(diameter, spacing_nm=spacing)

    assert (by_diameter - 1) * spacing < diameter <= by_diameter * spacing
    assert (around - 1) * spacing < girth_nm(diameter) <= around * spacing


def test_a_diameter_just_over_an_inch_mark_takes_one_cut_more():
    assert cuts_by_diameter(10 * IN_NM, nm_per_cut=IN_NM) == 10
    assert cuts_by_diameter(10 * IN_NM + 1, nm_per_cut=IN_NM) == 11


def test_mix_that_is_not_enough_for_one_cut_is_enough_for_none():
    assert cuts_in_mix(ML_NL - 1, nl_per_cut=ML_NL) == 0
    assert cuts_in_mix(ML_NL, nl_per_cut=ML_NL) == 1


@pytest.mark.parametrize("nothing", [0, -1])
@pytest.mark.parametrize(
    "call",
    [
        lambda nothing: diameter_nm(nothing),
        lambda nothing: girth_nm(nothing),
        lambda nothing: basal_area_mm2(nothing),
        lambda nothing: stump_ring_mm2(nothing, width_nm=1),
        lambda nothing: stump_ring_mm2(1, width_nm=nothing),
        lambda nothing: bark_band_mm2(nothing, height_nm=1),
        lambda nothing: bark_band_mm2(1, height_nm=nothing),
        lambda nothing: cuts_by_diameter(nothing, nm_per_cut=1),
        lambda nothing: cuts_by_diameter(1, nm_per_cut=nothing),
        lambda nothing: cuts_around(nothing, spacing_nm=1),
        lambda nothing: cuts_around(1, spacing_nm=nothing),
        lambda nothing: mix_for_cuts_nl(1, nl_per_cut=nothing),
        lambda nothing: cuts_in_mix(nothing, nl_per_cut=1),
        lambda nothing: cuts_in_mix(1, nl_per_cut=nothing),
    ],
)
def test_a_stem_or_an_amount_of_nothing_is_refused(call, nothing):
    with pytest.raises(RuleViolation) as refusal:
        call(nothing)

    assert refusal.value.code == "amount_not_positive"


@pytest.mark.parametrize("count", [0, -1, Fraction(3, 2), True])
def test_a_count_that_is_no_whole_number_above_nothing_is_refused(count):
    for call in (
        lambda: mix_for_cuts_nl(count, nl_per_cut=1),
        lambda: cuts_by_diameter(1, nm_per_cut=1, fewest=count),
    ):
        with pytest.raises(RuleViolation, match="whole number, 1 or more") as refusal:
            call()

        assert refusal.value.code == "count_wrong"


def test_a_float_is_not_what_was_measured():
    with pytest.raises(TypeError):
        diameter_nm(0.1)
