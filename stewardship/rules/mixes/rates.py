"""Rates over an area: so much product, or so much mix, on so much ground.

A rate is an amount (nL of volume or ug of mass) on a reference area ``per_mm2`` [mm2]: 3 lb an acre is 3 pounds in ug
on one acre in mm2. Results come in the unit of the amount, exact. Gallons of mix an acre (GPA) is such a rate.
"""

from fractions import Fraction

from stewardship.rules.mixes.amounts import positive


def amount_over_area(*, rate: int | Fraction, per_mm2: int | Fraction, area_mm2: int | Fraction) -> Fraction:
    """Return the amount [unit of ``rate``] that ``rate`` on each ``per_mm2`` puts on ``area_mm2``.

    Source: Agrochemical and Pesticide Safety, a handbook, example 4 (15 gallons an acre on 3.5 acres: 52.5 gallons).
    """
    return positive(rate, "the rate") * positive(area_mm2, "the area") / positive(per_mm2, "the area")


def rate_of_amount(*, amount: int | Fraction, area_mm2: int | Fraction, per_mm2: int | Fraction) -> Fraction:
    """Return what ``amount`` on ``area_mm2`` comes to on each ``per_mm2`` [unit of ``amount``].

    A spot treatment is thus held against a ceiling that is stated for a whole acre.
    """
    return positive(amount, "what was used") * positive(per_mm2, "the area") / positive(area_mm2, "the area")


def area_covered_mm2(*, mix_nl: int | Fraction, mix_rate_nl: int | Fraction, per_mm2: int | Fraction) -> Fraction:
    """Return the area [mm2] that a load of ``mix_nl`` [nL] covers at ``mix_rate_nl`` [nL] of mix on ``per_mm2``."""
    return positive(mix_nl, "the mix") * positive(per_mm2, "the area") / positive(mix_rate_nl, "the rate of mix")


def amount_in_load(*, load_nl: int | Fraction, mix_rate_nl: int | Fraction, rate: int | Fraction) -> Fraction:
    """Return the product [unit of ``rate``] for a load of mix, from two rates on the same reference area.

    load / mix rate x product rate. Source: sprayer-calibration worksheet (50-gallon load at 100 gallons an acre and
    7 ounces an acre: 3.5 ounces).
    """
    return (
        positive(load_nl, "the mix") / positive(mix_rate_nl, "the rate of mix") * positive(rate, "the rate of product")
    )
