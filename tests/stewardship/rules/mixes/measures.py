"""The measures of the printed tables, from their definitions and not from the code under test."""

from fractions import Fraction

GAL_NL = Fraction("3785411784")  # 231 cubic inches of 2.54 cm: NIST Handbook 44, Appendix C
FL_OZ_NL = GAL_NL / 128
LB_UG = Fraction("453592370")
NL = {
    "gal": GAL_NL,
    "qt": GAL_NL / 4,
    "pt": GAL_NL / 8,
    "fl_oz": FL_OZ_NL,
    "l": Fraction(10**9),
    "ml": Fraction(10**6),
}
UG = {"lb": LB_UG, "oz": LB_UG / 16, "g": Fraction(10**6)}
BASE = {**NL, **UG}
LB_PER_GAL = LB_UG * 1000 / GAL_NL  # one pound in a gallon, in grams in a litre (a ug in a nL is 1,000 g in a litre)
ACRE_MM2 = Fraction(43_560) * Fraction("304.8") ** 2
SQ_FT_MM2 = ACRE_MM2 / 43_560


def pct(printed: str) -> Fraction:
    """Return a printed per cent as a fraction."""
    return Fraction(printed) / 100
