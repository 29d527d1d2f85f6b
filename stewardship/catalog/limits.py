"""What a limit can be about, and the units that each is stated in: the closed list."""

from stewardship.rules.area_years import CEILING_UNITS
from stewardship.rules.strength import BASES

UNITS_OF: dict[str, tuple[str, ...]] = {
    "cut_to_treat": ("s", "min", "h"),
    "strength": BASES,
    "wind": ("km_h", "mph", "m_s", "kn"),
    "temperature": ("c", "f"),
    "hot_and_dry": ("c", "f", "percent"),
    "rainfast": ("min", "h"),
    "dose_per_cut": ("ml", "fl_oz"),
    "stem_diameter": ("in", "cm"),
    "area_year_ceiling": tuple(CEILING_UNITS),
    "water_setback": ("ft", "m"),
    "notice_before": ("h",),
    "notice_distance": ("ft", "m"),
}
"""What is limited -> units. ``cut_to_treat``: the wait between cutting and treating. ``hot_and_dry``: air temperature
and relative humidity that count only together. ``area_year_ceiling``: on an acre or hectare in a year, all of it,
by whatever method. ``water_setback``: how far a product that is not labelled for aquatic sites keeps from water.
``notice_before``: between how many hours before work registered neighbours are told, ``notice_distance``: those within
it; ``region`` is then the ISO 3166 code of where it holds."""
