"""Stems and stumps: how much bark or cut face is wetted, how many cuts a stem takes, how much mix that is.

Lengths are nanometres, areas square millimetres, volumes nanolitres, each an exact number. Pi is taken to 30 digits, so
a result is as good as the length that was measured. None of this is a dose to use: the label says that.
"""

from fractions import Fraction
from math import ceil, floor

from stewardship.rules.mixes.amounts import positive
from stewardship.rules.refusals import RuleViolation

PI = Fraction("3.14159265358979323846264338328")
NM2_MM2 = 10**12

Number = int | Fraction


class CountWrong(RuleViolation):
    """A number of cuts or stems that is no whole number above nothing."""

    code = "count_wrong"
    message = "Give {what} as a whole number, 1 or more."


def diameter_nm(girth_nm: Number) -> Fraction:
    """Return a stem's diameter from its girth, both in nm.

    Source: University of California IPM, Pest Notes 74111: 32 inches round is "about 10 inches" (girth x 0.32).
    """
    return positive(girth_nm, "the girth") / PI


def girth_nm(diameter_nm: Number) -> Fraction:
    """Return a stem's girth from its diameter, both in nm."""
    return positive(diameter_nm, "the diameter") * PI


def basal_area_mm2(diameter_nm: Number) -> Fraction:
    """Return the cross-section [mm2] of a stem of this diameter [nm] at breast height.

    Breast height is 4.5 ft in the United States and 1.3 m elsewhere: a forestry glossary. In square feet from inches it
    is pi/576 D^2, printed in forestry as 0.005454 D^2.
    """
    return _disc_mm2(positive(diameter_nm, "the diameter"))


def stump_ring_mm2(diameter_nm: Number, *, width_nm: Number) -> Fraction:
    """Return the area [mm2] of a ring of ``width_nm`` [nm] just inside the bark of a cut stump.

    Where the ring meets itself it is the whole face. The PNW Weed Management Handbook asks for a narrow band right
    round just inside the bark, and prints no width.
    """
    diameter, width = positive(diameter_nm, "the diameter"), positive(width_nm, "the width of the ring")
    return _disc_mm2(diameter) - _disc_mm2(max(diameter - 2 * width, Fraction(0)))


def bark_band_mm2(diameter_nm: Number, *, height_nm: Number) -> Fraction:
    """Return the area [mm2] of a band of bark all round a stem: pi x diameter x height [nm].

    Heights in print differ: 12-18 inches (K-State Extension, 11 October 2022), 15 (PNW Weed Management Handbook), 18-24
    (Mississippi State Extension), 6-12 (UF/IFAS Monroe County).
    """
    return girth_nm(diameter_nm) * positive(height_nm, "the height of the band") / NM2_MM2


def cuts_by_diameter(diameter_nm: Number, *, nm_per_cut: Number, fewest: int = 1) -> int:
    """Return how many cuts a stem takes at one for each ``nm_per_cut`` of its diameter [nm], and never fewer.

    Sources: PNW Weed Management Handbook, tree stem injection (a cut for an inch, or one for three inches); Penn State
    Extension, hack-and-squirt (a cut for an inch, at least two).
    """
    return max(ceil(positive(diameter_nm, "the diameter") / positive(nm_per_cut, "the spacing")), _whole(fewest))


def cuts_around(diameter_nm: Number, *, spacing_nm: Number) -> int:
    """Return how many cuts or holes go round a stem with their centres ``spacing_nm`` [nm] apart at most.

    Source: Weeds Australia, control techniques (drill and fill: holes about 5 cm apart); Woody Weed Control Guide 2018,
    p. 8 (axe cuts at centres of 10 to 13 cm).
    """
    return ceil(girth_nm(diameter_nm) / positive(spacing_nm, "the spacing"))


def mix_for_cuts_nl(cuts: int, *, nl_per_cut: Number) -> Fraction:
    """Return the mix [nL] for this many cuts, injections or stems at ``nl_per_cut`` [nL] each."""
    return _whole(cuts) * positive(nl_per_cut, "the amount for one cut")


def cuts_in_mix(mix_nl: Number, *, nl_per_cut: Number) -> int:
    """Return how many whole cuts, injections or stems ``mix_nl`` [nL] is enough for; 0 where it is not for one."""
    return floor(positive(mix_nl, "the mix") / positive(nl_per_cut, "the amount for one cut"))


def _disc_mm2(diameter_nm: Fraction) -> Fraction:
    return PI / 4 * diameter_nm**2 / NM2_MM2


def _whole(count: int) -> int:
    if isinstance(count, bool) or not isinstance(count, int) or count < 1:
        raise CountWrong(what="the number of cuts or stems")
    return count
