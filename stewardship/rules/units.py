"""Quantities: exact units, and their whole-number base units.

A quantity is kept as it was entered and as a whole number of a base unit: volume in nanolitres, mass in micrograms,
area in square millimetres, length in nanometres, speed in micrometres a second, temperature in thousandths of a degree
Celsius. An entry is rounded once, half to even, to the base unit. A float is refused: it is not what was entered.

Customary units are the United States' own; the two Imperial ones carry ``imp_`` in their names. ``oz`` is the ounce of
mass, ``fl_oz`` the fluid ounce. The acre and the foot are international, not those of the old land survey.
"""

import re
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache
from math import ceil

from stewardship.rules.decimals import exact, quoted
from stewardship.rules.figures import exact_text
from stewardship.rules.refusals import RuleViolation


class Dimension(StrEnum):
    """What a unit measures."""

    VOLUME = "volume"
    MASS = "mass"
    AREA = "area"
    LENGTH = "length"
    SPEED = "speed"
    TEMPERATURE = "temperature"


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of measure: base units = value x ``per_unit`` + ``offset``, exactly."""

    code: str
    dimension: Dimension
    per_unit: Fraction
    name_one: str
    name_many: str
    source: str
    offset: Fraction = Fraction(0)


class UnitUnknown(RuleViolation):
    """The unit is not one of ours."""

    code = "unit_unknown"
    message = "{shown} is not a unit we know. Units of {dimension}: {units}."


class NotAQuantity(UnitUnknown):
    """A count or a rate stands where a quantity belongs; the code is that of an unknown unit."""

    message = "{shown} is a count or a rate, not a quantity. Units of {dimension}: {units}."


class UnitWrongDimension(RuleViolation):
    """The unit measures something else."""

    code = "unit_wrong_dimension"
    message = "{unit} ({name}) is a unit of {found}; here a {dimension} is wanted. Units of {dimension}: {units}."


class AmountNegative(RuleViolation):
    """An amount below nothing."""

    code = "amount_negative"
    message = "An amount of {dimension} cannot be less than nothing."


class AmountAbsurd(RuleViolation):
    """An amount beyond anything that a group can meet with; nearly always a slip of the key or of the unit."""

    code = "amount_absurd"
    message = "No {dimension} like that can be recorded ({bound}): check the number and the unit."


_HB44 = "NIST Handbook 44, Appendix C, General Tables of Units of Measurement"
_SI = "BIPM, The International System of Units, 9th edition, 2019"
_UK = "Weights and Measures Act 1985 (UK), Schedule 1: gallon of 4.54609 dm3, fluid ounce 1/160 of it"

_NM_IN = 25_400_000  # the international inch is 25.4 mm exactly
_NM_FT = 12 * _NM_IN
_NL_GAL = Fraction(231 * 254**3)  # 231 cubic inches of (2.54 cm)^3; a cubic centimetre is 10^6 nL
_NL_IMP_GAL = Fraction(4_546_090_000)
_UG_LB = Fraction(453_592_370)
_MM2_SQ_FT = Fraction(_NM_FT, 10**6) ** 2
_UM_S_KM_H = Fraction(10**9, 3600)
_MILE_KM = Fraction(1_609_344, 10**6)


def _units(dimension: Dimension, *rows: tuple[str, Fraction | int, str, str, str]) -> dict[str, Unit]:
    return {
        code: Unit(code, dimension, Fraction(per_unit), one, many, source) for code, per_unit, one, many, source in rows
    }


UNITS: dict[str, Unit] = {
    **_units(
        Dimension.VOLUME,
        ("ml", 10**6, "millilitre", "millilitres", _SI),
        ("l", 10**9, "litre", "litres", _SI),
        ("fl_oz", _NL_GAL / 128, "US fluid ounce", "US fluid ounces", f"{_HB44}: 1/128 of a US gallon"),
        ("pt", _NL_GAL / 8, "US liquid pint", "US liquid pints", f"{_HB44}: 1/8 of a US gallon"),
        ("qt", _NL_GAL / 4, "US liquid quart", "US liquid quarts", f"{_HB44}: 1/4 of a US gallon"),
        ("gal", _NL_GAL, "US gallon", "US gallons", f"{_HB44}: 231 cubic inches"),
        ("imp_fl_oz", _NL_IMP_GAL / 160, "Imperial fluid ounce", "Imperial fluid ounces", _UK),
        ("imp_gal", _NL_IMP_GAL, "Imperial gallon", "Imperial gallons", _UK),
    ),
    **_units(
        Dimension.MASS,
        ("g", 10**6, "gram", "grams", _SI),
        ("kg", 10**9, "kilogram", "kilograms", _SI),
        ("oz", _UG_LB / 16, "ounce of weight", "ounces of weight", f"{_HB44}: 1/16 of an avoirdupois pound"),
        ("lb", _UG_LB, "pound", "pounds", f"{_HB44}: avoirdupois pound of 453.59237 g"),
    ),
    **_units(
        Dimension.AREA,
        ("m2", 10**6, "square metre", "square metres", _SI),
        ("ha", 10**10, "hectare", "hectares", _SI),
        ("sq_ft", _MM2_SQ_FT, "square foot", "square feet", f"{_HB44}: foot of 0.3048 m"),
        ("acre", 43_560 * _MM2_SQ_FT, "acre", "acres", f"{_HB44}: 43,560 square feet, of the international foot"),
    ),
    **_units(
        Dimension.LENGTH,
        ("mm", 10**6, "millimetre", "millimetres", _SI),
        ("cm", 10**7, "centimetre", "centimetres", _SI),
        ("m", 10**9, "metre", "metres", _SI),
        ("in", _NM_IN, "inch", "inches", f"{_HB44}: 25.4 mm"),
        ("ft", _NM_FT, "foot", "feet", f"{_HB44}: 0.3048 m"),
    ),
    **_units(
        Dimension.SPEED,
        ("m_s", 10**6, "metre a second", "metres a second", _SI),
        ("km_h", _UM_S_KM_H, "kilometre an hour", "kilometres an hour", _SI),
        ("mph", _UM_S_KM_H * _MILE_KM, "mile an hour", "miles an hour", f"{_HB44}: mile of 1.609344 km"),
        ("kn", _UM_S_KM_H * Fraction(1852, 1000), "knot", "knots", f"{_HB44}: nautical mile of 1.852 km"),
    ),
    "c": Unit("c", Dimension.TEMPERATURE, Fraction(1000), "degree Celsius", "degrees Celsius", _SI),
    "f": Unit(
        "f",
        Dimension.TEMPERATURE,
        Fraction(5000, 9),
        "degree Fahrenheit",
        "degrees Fahrenheit",
        "NIST Special Publication 811, 2008, B.8: t(C) = (t(F) - 32) / 1.8",
        offset=Fraction(-32 * 5000, 9),
    ),
}


@dataclass(frozen=True, slots=True)
class Bound:
    """What a base integer may be: ``least`` to ``most`` [base units], and the words for it."""

    least: int
    most: int
    words: str


# Nine thousand entries at the bound still sum to a signed 64-bit number (9.2e18). The bounds are ours: far above what
# a group meets with. Wind gusts have reached 113 m/s and air -89 to 57 degrees C (World Meteorological Organization,
# World Weather and Climate Extremes Archive; figures from memory).
BOUNDS: dict[Dimension, Bound] = {
    Dimension.VOLUME: Bound(0, 10**15, "at most 1,000,000 litres"),
    Dimension.MASS: Bound(0, 10**15, "at most 1,000,000 kilograms"),
    Dimension.AREA: Bound(0, 10**15, "at most 100,000 hectares"),
    Dimension.LENGTH: Bound(0, 10**15, "at most 1,000 kilometres"),
    Dimension.SPEED: Bound(0, 2 * 10**8, "at most 200 metres a second"),
    Dimension.TEMPERATURE: Bound(-100_000, 100_000, "from 100 degrees Celsius below zero to 100 above"),
}

_COUNT_WORDS = frozenset(
    ("each", "ea", "count", "dozen", "piece", "bag", "bottle", "jug", "drum", "can", "box", "case", "pack", "packet")
    + ("pouch", "tablet", "cup", "cap", "capful", "squirt", "stem", "plant", "%", "percent", "ppm", "gpa")
)


def units_of(dimension: Dimension) -> list[str]:
    """Return the codes of the units of a dimension, in the order of the table."""
    return [unit.code for unit in UNITS.values() if unit.dimension == dimension]


def to_base(value: Fraction | int | str, unit: str, dimension: Dimension, *, where: str = "") -> int:
    """Return an entered amount in whole base units (nL, ug, mm2, nm, um/s, thousandths of a degree C).

    Rounds once, half to even. Raises NumberUnreadable, UnitUnknown (NotAQuantity for a count or a rate),
    UnitWrongDimension, AmountNegative (temperatures may be below zero) and AmountAbsurd (outside BOUNDS), each about
    the field ``where``.
    """
    return _to_base(value, unit, dimension, where)


def from_base(base: int, unit: str) -> Fraction:
    """Return exactly how many of ``unit`` a whole number of base units is. An unknown unit is a KeyError."""
    if isinstance(base, bool) or not isinstance(base, int):
        raise TypeError(f"whole base units are wanted, not {type(base).__name__}")
    found = UNITS[unit]
    return (base - found.offset) / found.per_unit


def shown(base: int, unit: str, digits: int = 4) -> str:
    """Return a number of ``unit`` for the eye: ``digits`` significant, half to even, no exponent, no trailing zeros.

    Whole digits are never rounded away (12345 mL stays ``12345``), and none finer than a base unit is shown: 0 degrees
    Fahrenheit, kept as -17.778 Celsius, is ``0`` again.
    """
    number = from_base(base, unit)
    finest = len(str(int(UNITS[unit].per_unit))) - 1
    decimals = max(0, min(finest, digits - _magnitude(number)))
    scaled = round(abs(number) * 10**decimals)
    whole, rest = divmod(scaled, 10**decimals)
    text = f"{whole}.{rest:0{decimals}d}".rstrip("0").rstrip(".") if rest else str(whole)
    return f"-{text}" if number < 0 and scaled else text


def told(base: int, unit: str, digits: int = 4) -> str:
    """Return an amount in words for a sentence: 10 fluid ounces."""
    number = shown(base, unit, digits)
    return f"{number} {UNITS[unit].name_one if number == '1' else UNITS[unit].name_many}"


def exact_value(base: int, unit: str) -> str:
    """Return the shortest decimal text of ``unit`` that is read as exactly this many base units.

    An amount that was worked out, such as a third of a bottle, is written so that whoever reads it back gets it again.
    """
    number, found = from_base(base, unit), UNITS[unit]
    for places in range(len(str(int(found.per_unit))) + 1):
        text = exact_text(Fraction(round(number * 10**places), 10**places))
        if round(exact(text) * found.per_unit + found.offset) == base:
            return text
    raise AssertionError("as many places as a unit has base units tell them all apart")


@lru_cache(maxsize=4096, typed=True)  # typed: True and 1.0 must not find what 1 has left
def _to_base(value: Fraction | int | str, unit: str, dimension: Dimension, where: str) -> int:
    number = exact(value, where=where)
    found = _unit(unit, dimension, where)
    if number < 0 and dimension != Dimension.TEMPERATURE:
        raise AmountNegative(where=where, dimension=dimension)
    base = round(number * found.per_unit + found.offset)
    bound = BOUNDS[dimension]
    if not bound.least <= base <= bound.most:
        raise AmountAbsurd(where=where, dimension=dimension, bound=bound.words)
    return base


def _unit(code: str, dimension: Dimension, where: str) -> Unit:
    if not isinstance(code, str):
        raise TypeError(f"a unit code is wanted, not {type(code).__name__}")
    found, units = UNITS.get(code), ", ".join(units_of(dimension))
    if found is None:
        refusal = NotAQuantity if _is_count_or_rate(code) else UnitUnknown
        raise refusal(where=where, shown=quoted(code), dimension=dimension, units=units)
    if found.dimension != dimension:
        raise UnitWrongDimension(
            where=where, unit=code, name=found.name_one, found=found.dimension, dimension=dimension, units=units
        )
    return found


def _is_count_or_rate(code: str) -> bool:
    word = code.strip().lower()
    singular = {word, word.removesuffix("s"), word.removesuffix("es")}
    return bool(singular & _COUNT_WORDS) or "/" in word or "per" in re.split(r"[\s_]+", word)


def _magnitude(number: Fraction) -> int:
    """Return how many digits stand before the point; 0 or less counts the zeros just after it."""
    size = abs(number)
    if size == 0:
        return 1
    return len(str(int(size))) if size >= 1 else 1 - len(str(ceil(1 / size) - 1))
