"""What a limit can be about, and the units that each is stated in: the closed list."""

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
    "area_year_ceiling": ("qt_acre", "gal_acre", "l_ha", "stems_acre", "stems_ha"),
}
"""What is limited -> units. ``cut_to_treat``: the wait between cutting and treating. ``hot_and_dry``: air temperature
and relative humidity that count only together. ``area_year_ceiling``: on an acre or hectare in a year, all of it."""
