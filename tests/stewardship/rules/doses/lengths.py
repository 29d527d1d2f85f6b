"""Lengths and speeds of the printed tables in base units, from their definitions and not from the code under test."""

from fractions import Fraction

IN_NM = Fraction(25_400_000)  # the international inch: NIST Handbook 44, Appendix C
FT_NM = 12 * IN_NM
CM_NM = Fraction(10_000_000)
MILE_NM = 5280 * FT_NM
MPH_UM_S = MILE_NM / 1000 / 3600
SQ_IN_MM2 = Fraction("25.4") ** 2
