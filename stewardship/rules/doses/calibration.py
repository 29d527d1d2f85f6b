"""Calibrating a sprayer: by a measured plot of 1/128 acre, or by flow, speed and swath.

Lengths are nanometres, areas square millimetres, volumes nanolitres, speeds micrometres a second, each exact. Rates are
an amount on a reference area ``per_mm2`` [mm2], as in ``mixes.rates``; on ACRE_MM2, in gallons, it is GPA.
"""

from fractions import Fraction

from stewardship.rules.figures import rounded_text
from stewardship.rules.mixes.amounts import positive
from stewardship.rules.mixes.rates import rate_of_amount
from stewardship.rules.refusals import RuleViolation
from stewardship.rules.units import UNITS

ACRE_MM2 = UNITS["acre"].per_unit
SQ_FT_MM2 = UNITS["sq_ft"].per_unit
PLOTS_AN_ACRE = 128
"""Fluid ounces in a gallon: the ounces that 1/128 of an acre takes are the gallons that an acre takes."""

PLOT_MM2 = ACRE_MM2 / PLOTS_AN_ACRE
"""340.3125 square feet; a square has sides of 18.4476 feet."""

PLOT_TOLERANCE = Fraction(1, 100)
"""How far off a plot called 1/128 of an acre may be. The figure is ours; 18.5 ft square, in print, is 0.57 % large."""

UM_NM_A_MM2 = 10**9
NM2_A_MM2 = 10**12
SECONDS_A_MINUTE = 60

Number = int | Fraction


class PlotWrong(RuleViolation):
    """A plot of another size than its name."""

    code = "plot_wrong"
    message = (
        "This plot has {sq_ft} square feet; 1/128 of an acre has 340, a square with sides of 18.4 feet. "
        "Measure it again: a plot of another size makes every rate wrong."
    )
    where = "plot"


class BandTooWide(RuleViolation):
    """A band wider than the row it lies on."""

    code = "band_too_wide"
    message = "The treated band is wider than the distance between the rows: then all the ground is treated."
    where = "band"


def check_plot(*, width_nm: Number, length_nm: Number) -> Fraction:
    """Return the true area [mm2] of a plot [nm] that is to be 1/128 of an acre; PlotWrong where it is 1 % off or more.

    Sources: Albany (WY) and Larimer (CO) County use 18.5 ft square, a slide set 10 x 34 ft. The "8.5 ft by 18.5 ft" of
    UF/IFAS Alachua County, 4 February 2022, is a misprint: 1/277 acre, on which half as much would be caught.
    """
    area_mm2 = positive(width_nm, "the width") * positive(length_nm, "the length") / NM2_A_MM2
    if abs(area_mm2 - PLOT_MM2) >= PLOT_MM2 * PLOT_TOLERANCE:
        raise PlotWrong(sq_ft=rounded_text(area_mm2 / SQ_FT_MM2))
    return area_mm2


def course_nm(*, swath_nm: Number) -> Fraction:
    """Return how far to walk [nm] so that a swath [nm] covers 1/128 of an acre.

    Source: NC State, Christmas-tree backpack worksheet (6 ft: 57 ft).
    """
    return PLOT_MM2 * NM2_A_MM2 / positive(swath_nm, "the swath")


def mix_rate_of_plot(caught_nl: Number) -> Fraction:
    """Return the mix on an acre [nL] from what was caught [nL] in the time that 1/128 of an acre took.

    Source: the 1/128-acre method: fluid ounces caught are gallons an acre (UF/IFAS Alachua County, 4 February 2022).
    """
    return rate_of_amount(amount=caught_nl, area_mm2=PLOT_MM2, per_mm2=ACRE_MM2)


def flow_nl_per_min(*, caught_nl: Number, seconds: Number) -> Fraction:
    """Return a flow [nL a minute] from what was caught [nL] in ``seconds`` [s]."""
    return positive(caught_nl, "what was caught") * SECONDS_A_MINUTE / positive(seconds, "the time")


def mix_rate_of_flow(
    *, flow_nl_per_min: Number, speed_um_s: Number, swath_nm: Number, per_mm2: Number = ACRE_MM2
) -> Fraction:
    """Return the mix [nL] on ``per_mm2`` from flow [nL a minute], speed [um/s] and swath [nm].

    In customary units it is GPA = 5,940 x gal/min / (mph x inches), 5,940 being 43,560 sq ft x 12 / 88 ft a minute.
    Source: Albany County (WY) Weed and Pest. The example of a Florida pest-control study book (p. 213) leaves out the
    88 and prints 327 GPA for 3.71.
    """
    mm2_a_minute = _mm2_a_second(speed_um_s=speed_um_s, swath_nm=swath_nm) * SECONDS_A_MINUTE
    return rate_of_amount(amount=flow_nl_per_min, area_mm2=mm2_a_minute, per_mm2=per_mm2)


def seconds_to_cover(*, area_mm2: Number, speed_um_s: Number, swath_nm: Number) -> Fraction:
    """Return the time [s] that a swath [nm] takes over an area [mm2] at this speed [um/s], turns not counted.

    Source: Oregon DOT, roadside vegetation guide, p. 76, whose rounded 0.000189 mile in a foot costs 0.2 %.
    """
    return positive(area_mm2, "the area") / _mm2_a_second(speed_um_s=speed_um_s, swath_nm=swath_nm)


def band_rate(rate: Number, *, band_nm: Number, row_nm: Number) -> Fraction:
    """Return what a field acre takes [unit of ``rate``] where only a band [nm] of each row [nm] is treated.

    Raises BandTooWide for a band wider than its row. Source: University of Minnesota Extension, How to calculate
    herbicide rates.
    """
    band, row = positive(band_nm, "the band"), positive(row_nm, "the row")
    if band > row:
        raise BandTooWide
    return positive(rate, "the rate") * band / row


def _mm2_a_second(*, speed_um_s: Number, swath_nm: Number) -> Fraction:
    return positive(speed_um_s, "the speed") * positive(swath_nm, "the swath") / UM_NM_A_MM2
