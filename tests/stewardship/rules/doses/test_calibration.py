"""Calibrating a sprayer: printed examples, the two that are wrong in print among them, and an independent library."""

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stewardship.rules.doses import (
    ACRE_MM2,
    PLOT_MM2,
    band_rate,
    check_plot,
    course_nm,
    flow_nl_per_min,
    mix_rate_of_flow,
    mix_rate_of_plot,
    seconds_to_cover,
)
from stewardship.rules.mixes import amount_in_load
from stewardship.rules.refusals import RuleViolation
from tests.published import printed_number, published, within_print
from tests.stewardship.rules.doses.lengths import FT_NM, IN_NM, MILE_NM, MPH_UM_S
from tests.stewardship.rules.mixes.measures import ACRE_MM2 as DEFINED_ACRE_MM2
from tests.stewardship.rules.mixes.measures import FL_OZ_NL, GAL_NL, LB_UG, NL, SQ_FT_MM2

PLOTS = published("plots_128th_acre")
UNITS = pint.UnitRegistry()
amounts = st.integers(1, 10**13)


def feet(printed: str) -> Fraction:
    return printed_number(printed) * FT_NM


def gal_per_acre(row, flow: Fraction) -> Fraction:
    speed, swath = printed_number(row["mph"]) * MPH_UM_S, printed_number(row["swath_in"]) * IN_NM
    return mix_rate_of_flow(flow_nl_per_min=flow, speed_um_s=speed, swath_nm=swath) / GAL_NL


@pytest.mark.parametrize("row", published("plot_128th_acre_exact"), ids=str)
def test_one_part_in_128_of_an_acre_is_exactly_what_was_computed(row):
    side = printed_number(row["side_ft"])
    half = Fraction(1, 20_000)

    assert ACRE_MM2 == DEFINED_ACRE_MM2
    assert printed_number(row["sq_ft"]) == PLOT_MM2 / SQ_FT_MM2
    assert (side - half) ** 2 < PLOT_MM2 / SQ_FT_MM2 < (side + half) ** 2


@pytest.mark.parametrize("row", [row for row in PLOTS if row["use"] == "test"], ids=lambda row: row["width_ft"])
def test_the_plots_in_print_are_taken_with_their_true_area(row):
    area = check_plot(width_nm=feet(row["width_ft"]), length_nm=feet(row["length_ft"]))

    assert area / SQ_FT_MM2 == printed_number(row["sq_ft"])
    assert within_print(100 * (area - PLOT_MM2) / PLOT_MM2, row["error_pct"])
    assert round(ACRE_MM2 / area) == int(row["part_of_acre"])


@pytest.mark.parametrize("row", [row for row in PLOTS if row["use"] == "negative"], ids=str)
def test_a_misprinted_plot_is_refused_with_its_area(row):
    width, length = printed_number(row["width_ft"]), printed_number(row["length_ft"])

    with pytest.raises(RuleViolation, match=r"This plot has 157\.2 square feet; 1/128 of an acre has 340") as refusal:
        check_plot(width_nm=width * FT_NM, length_nm=length * FT_NM)

    assert (refusal.value.code, refusal.value.where) == ("plot_wrong", "plot")
    assert width * length == printed_number(row["sq_ft"])
    assert round(43_560 / (width * length)) == int(row["part_of_acre"])


@pytest.mark.parametrize("way", [1, -1])
def test_a_plot_is_refused_from_one_per_cent_off_on(way):
    plot_sq_ft = Fraction(43_560, 128)
    edge_nm = plot_sq_ft * (1 + Fraction(way, 100)) * FT_NM

    assert check_plot(width_nm=FT_NM, length_nm=edge_nm - way)
    with pytest.raises(RuleViolation):
        check_plot(width_nm=FT_NM, length_nm=edge_nm)


def test_a_plot_larger_than_an_acre_is_refused_in_words_that_fit():
    with pytest.raises(RuleViolation, match="has 87120 square feet"):
        check_plot(width_nm=FT_NM, length_nm=87_120 * FT_NM)


@pytest.mark.parametrize("row", published("alachua_128th_catch"), ids=str)
def test_ounces_caught_on_the_plot_are_gallons_an_acre(row):
    assert (
        mix_rate_of_plot(printed_number(row["caught_fl_oz"]) * FL_OZ_NL) == printed_number(row["gal_per_acre"]) * GAL_NL
    )


@pytest.mark.parametrize("row", published("nc_state_course"), ids=str)
def test_a_course_is_as_long_as_the_plot_is_large(row):
    course_ft = course_nm(swath_nm=feet(row["swath_ft"])) / FT_NM

    assert within_print(course_ft, row["course_ft"])
    assert within_print(course_ft, row["exact_ft"])


@pytest.mark.parametrize("row", published("albany_flow"), ids=lambda row: row["flow_unit"])
def test_flow_speed_and_swath_give_the_gallons_an_acre_in_print(row):
    made = gal_per_acre(row, printed_number(row["flow"]) * NL[row["flow_unit"]])

    assert within_print(made, row["gal_per_acre"])
    assert within_print(made, row["exact_gal_per_acre"])


@pytest.mark.parametrize("row", published("albany_product_in_load"), ids=str)
def test_a_load_as_large_as_an_acres_mix_takes_an_acres_product(row):
    load, mix_rate = printed_number(row["load_gal"]) * GAL_NL, printed_number(row["mix_gal_per_acre"]) * GAL_NL

    product = amount_in_load(
        load_nl=load, mix_rate_nl=mix_rate, rate=printed_number(row["product_fl_oz_per_acre"]) * FL_OZ_NL
    )

    assert product == printed_number(row["product_fl_oz"]) * FL_OZ_NL


@pytest.mark.parametrize("row", published("flow_constants"), ids=lambda row: row["flow_unit"])
def test_the_constant_of_the_flow_formula_is_exact(row):
    one = mix_rate_of_flow(flow_nl_per_min=NL[row["flow_unit"]], speed_um_s=MPH_UM_S, swath_nm=IN_NM)

    assert one / GAL_NL == printed_number(row["constant"])


@pytest.mark.parametrize("row", published("florida_exam_flow"), ids=lambda row: row["caught_unit"])
def test_an_example_that_lost_its_88_is_right_with_us_and_wrong_in_print(row):
    caught = printed_number(row["caught"]) * NL[row["caught_unit"]]

    made = gal_per_acre(row, flow_nl_per_min(caught_nl=caught, seconds=printed_number(row["seconds"])))

    assert row["use"] == "negative"
    assert within_print(made, row["gal_per_acre"])
    assert not within_print(made, row["printed_gal_per_acre"])
    assert round(Fraction("3.7125") * 88) == int(row["printed_gal_per_acre"])  # what the slip makes of 0.15 gal


def test_a_flow_is_what_was_caught_in_a_minute():
    assert flow_nl_per_min(caught_nl=25 * FL_OZ_NL, seconds=30) == 50 * FL_OZ_NL


@pytest.mark.parametrize("row", published("umn_band"), ids=str)
def test_a_band_takes_its_part_of_the_rate_as_minnesota_prints(row):
    rate = band_rate(
        printed_number(row["rate_lb"]) * LB_UG,
        band_nm=printed_number(row["band_in"]) * IN_NM,
        row_nm=printed_number(row["row_in"]) * IN_NM,
    )

    assert rate == printed_number(row["field_rate_lb"]) * LB_UG


def test_a_band_as_wide_as_its_row_takes_all_and_a_wider_one_is_refused():
    assert band_rate(3, band_nm=10, row_nm=10) == 3
    with pytest.raises(RuleViolation, match="wider than the distance between the rows") as refusal:
        band_rate(3, band_nm=11, row_nm=10)

    assert (refusal.value.code, refusal.value.where) == ("band_too_wide", "band")


@pytest.mark.parametrize("row", published("oregon_dot_time"), ids=str)
def test_an_acre_takes_the_hours_of_the_oregon_worksheet_without_its_rounding(row):
    swath, mph = printed_number(row["swath_ft"]), printed_number(row["mph"])
    rounded_miles = printed_number(row["course_ft"]) * Fraction("0.000189")

    hours = seconds_to_cover(area_mm2=ACRE_MM2, speed_um_s=mph * MPH_UM_S, swath_nm=swath * FT_NM) / 3600

    assert 43_560 / swath == printed_number(row["course_ft"])
    assert hours == printed_number(row["exact_hours"])
    assert hours * mph == printed_number(row["exact_miles"]) == printed_number(row["course_ft"]) * FT_NM / MILE_NM
    assert within_print(rounded_miles, row["rounded_miles"])
    assert within_print(rounded_miles / mph, row["rounded_hours"])
    assert not within_print(hours, row["rounded_hours"])


@given(amounts, amounts, amounts)
def test_a_rate_of_flow_equals_that_of_an_independent_library(flow, speed, swath):
    flow_rate = flow * UNITS.nanoliter / UNITS.minute
    covered = speed * UNITS.micrometer / UNITS.second * swath * UNITS.nanometer

    theirs = (flow_rate / covered).to("nanoliter / mm^2").magnitude

    assert float(mix_rate_of_flow(flow_nl_per_min=flow, speed_um_s=speed, swath_nm=swath, per_mm2=1)) == pytest.approx(
        theirs, rel=1e-12
    )


@given(amounts, amounts, amounts)
def test_the_mix_on_an_area_is_the_flow_for_the_time_that_the_area_takes(flow, speed, swath):
    minutes = seconds_to_cover(area_mm2=ACRE_MM2, speed_um_s=speed, swath_nm=swath) / 60

    assert mix_rate_of_flow(flow_nl_per_min=flow, speed_um_s=speed, swath_nm=swath) == flow * minutes


@pytest.mark.parametrize(
    "call",
    [
        lambda: check_plot(width_nm=0, length_nm=1),
        lambda: check_plot(width_nm=1, length_nm=0),
        lambda: course_nm(swath_nm=0),
        lambda: mix_rate_of_plot(0),
        lambda: flow_nl_per_min(caught_nl=0, seconds=1),
        lambda: flow_nl_per_min(caught_nl=1, seconds=0),
        lambda: mix_rate_of_flow(flow_nl_per_min=0, speed_um_s=1, swath_nm=1),
        lambda: mix_rate_of_flow(flow_nl_per_min=1, speed_um_s=0, swath_nm=1),
        lambda: mix_rate_of_flow(flow_nl_per_min=1, speed_um_s=1, swath_nm=0),
        lambda: seconds_to_cover(area_mm2=0, speed_um_s=1, swath_nm=1),
        lambda: seconds_to_cover(area_mm2=1, speed_um_s=0, swath_nm=1),
        lambda: band_rate(0, band_nm=1, row_nm=1),
        lambda: band_rate(1, band_nm=0, row_nm=1),
        lambda: band_rate(1, band_nm=1, row_nm=0),
    ],
)
def test_a_measure_of_nothing_is_refused(call):
    with pytest.raises(RuleViolation) as refusal:
        call()

    assert refusal.value.code == "amount_not_positive"
