"""Units against print, against an independent library and against themselves."""

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stewardship.rules.decimals import MAX_DIGITS, NumberUnreadable, parse_decimal
from stewardship.rules.refusals import RuleViolation
from stewardship.rules.units import (
    BOUNDS,
    UNITS,
    AmountAbsurd,
    AmountNegative,
    Dimension,
    NotAQuantity,
    UnitUnknown,
    UnitWrongDimension,
    exact_value,
    from_base,
    shown,
    to_base,
    units_of,
)
from tests.published import published, within_print

SINGLE = published("units")
COMBINED = published("units_combined")
STANDARD_GRAVITY = Fraction("9.80665")  # m/s2, 3rd General Conference on Weights and Measures, 1901

PINT_NAMES = {
    "ml": "milliliter", "l": "liter", "fl_oz": "fluid_ounce", "pt": "pint", "qt": "quart", "gal": "gallon",
    "imp_fl_oz": "imperial_fluid_ounce", "imp_gal": "imperial_gallon", "g": "gram", "kg": "kilogram", "oz": "ounce",
    "lb": "pound", "m2": "meter**2", "ha": "hectare", "sq_ft": "foot**2", "acre": "international_acre",
    "mm": "millimeter", "cm": "centimeter", "m": "meter", "in": "inch", "ft": "foot", "m_s": "meter/second",
    "km_h": "kilometer/hour", "mph": "mile/hour", "kn": "knot", "c": "degC", "f": "degF",
}  # fmt: skip
PINT_BASES = {
    Dimension.VOLUME: "nanoliter", Dimension.MASS: "microgram", Dimension.AREA: "millimeter**2",
    Dimension.LENGTH: "nanometer", Dimension.SPEED: "micrometer/second", Dimension.TEMPERATURE: "degC",
}  # fmt: skip


def rows(table, use):
    return [row for row in table if row["use"] == use]


def per(code):
    return UNITS[code].per_unit


def converted(value, unit, other):
    """Return the exact amount in another unit of the same dimension, without a stop at whole base units."""
    base = Fraction(value) * per(unit) + UNITS[unit].offset
    return (base - UNITS[other].offset) / per(other)


TABLESPOON, TEASPOON = per("fl_oz") / 2, per("fl_oz") / 6  # UF/IFAS SS-AGR-27: 2 and 6 to the ounce
MILE_UM = per("mph") * 3600
SURVEY_ACRE_MM2 = 43_560 * Fraction(1200 * 1000, 3937) ** 2
NM3_IN_NL = 10**15  # a cubic millimetre is 1,000 nL and 10^18 nm3
COMBINATIONS = {
    "cubic inches in a gallon": per("gal") * NM3_IN_NL / per("in") ** 3,
    "Imperial over US fluid ounce: per cent smaller": 100 * (1 - per("imp_fl_oz") / per("fl_oz")),
    "survey acre over acre: parts in a million more": 10**6 * (SURVEY_ACRE_MM2 / per("acre") - 1),
    "kg/ha in a lb/acre": per("lb") / per("acre") * per("ha") / per("kg"),
    "L/ha in a gal/acre": per("gal") / per("acre") * per("ha") / per("l"),
    "L/ha in an Imperial gal/acre": per("imp_gal") / per("acre") * per("ha") / per("l"),
    "ft/min in a mph": per("mph") * 60 / (per("ft") / 1000),
    "ft/s in a mph": per("mph") / (per("ft") / 1000),
    "seconds for 100 ft at 1 mph": 100 * per("ft") / 1000 / per("mph"),
    "kPa in a psi": per("lb") / per("kg") * STANDARD_GRAVITY / (per("in") / per("m")) ** 2 / 1000,
    "mL in a tablespoon": TABLESPOON / per("ml"),
    "mL in a teaspoon": TEASPOON / per("ml"),
    "tablespoons in a gallon": per("gal") / TABLESPOON,
    "15 mL over a tablespoon: per cent more": 100 * (15 * per("ml") / TABLESPOON - 1),
    "lb/gal at 1 kg/L": per("kg") / per("l") * per("gal") / per("lb"),
    "tonnes in a US ton": 2000 * per("lb") / per("kg") / 1000,
    "ft in a mile": MILE_UM / (per("ft") / 1000),
}


@pytest.fixture(scope="module")
def registry():
    """Open an independent library on exact fractions; its own acre is that of the old survey."""
    registry = pint.UnitRegistry(non_int_type=Fraction)
    registry.define("international_acre = 43560 * foot**2")
    return registry


@pytest.mark.parametrize("row", rows(SINGLE, "test"), ids=str)
def test_a_unit_in_another_is_what_is_printed(row):
    amount = converted(row["value"], row["unit"], row["printed_unit"])

    assert within_print(amount, row["printed"])


@pytest.mark.parametrize("row", rows(SINGLE, "negative"), ids=str)
def test_a_misprint_of_a_unit_is_not_repeated(row):
    amount = converted(row["value"], row["unit"], row["printed_unit"])

    assert not within_print(amount, row["printed"])


@pytest.mark.parametrize("row", rows(SINGLE, "test"), ids=str)
def test_a_printed_conversion_passes_through_whole_base_units_with_one_rounding(row):
    unit, other = row["unit"], row["printed_unit"]

    base = to_base(row["value"], unit, UNITS[unit].dimension)

    assert abs(from_base(base, other) - converted(row["value"], unit, other)) <= Fraction(1, 2) / per(other)


@pytest.mark.parametrize("row", rows(COMBINED, "test"), ids=str)
def test_units_together_give_what_is_printed(row):
    assert within_print(COMBINATIONS[row["quantity"]], row["printed"])


@pytest.mark.parametrize("row", rows(COMBINED, "negative"), ids=str)
def test_a_misprint_of_units_together_is_not_repeated(row):
    assert not within_print(COMBINATIONS[row["quantity"]], row["printed"])


@pytest.mark.parametrize("row", [row for row in COMBINED if row["pint_value"]], ids=str)
def test_units_together_equal_those_of_an_independent_library_exactly(registry, row):
    theirs = registry.parse_expression(row["pint_value"])
    magnitude = theirs.to(row["pint_unit"] or "dimensionless").magnitude

    assert COMBINATIONS[row["quantity"]] == magnitude


@pytest.mark.parametrize("code", UNITS)
def test_every_unit_equals_that_of_an_independent_library_exactly(registry, code):
    unit = UNITS[code]
    thousand = 1000 if unit.dimension == Dimension.TEMPERATURE else 1

    for value in (Fraction(0), Fraction(1), Fraction(128, 10)):
        theirs = registry.Quantity(value, PINT_NAMES[code]).to(PINT_BASES[unit.dimension]).magnitude
        assert value * unit.per_unit + unit.offset == theirs * thousand


@pytest.mark.parametrize("code", UNITS)
@given(data=st.data())
def test_whole_base_units_come_back_from_every_unit(code, data):
    dimension = UNITS[code].dimension
    base = data.draw(st.integers(BOUNDS[dimension].least, BOUNDS[dimension].most))

    assert to_base(from_base(base, code), code, dimension) == base


@pytest.mark.parametrize("code", UNITS)
def test_both_edges_of_what_may_be_recorded(code):
    dimension = UNITS[code].dimension
    bound = BOUNDS[dimension]

    for edge, past in ((bound.least, bound.least - 1), (bound.most, bound.most + 1)):
        assert to_base(from_base(edge, code), code, dimension) == edge
        with pytest.raises(AmountNegative if past == -1 else AmountAbsurd):
            to_base(from_base(past, code), code, dimension)


def test_nine_thousand_of_the_largest_amounts_sum_to_a_signed_64_bit_number():
    assert all(9000 * max(abs(bound.least), bound.most) < 2**63 for bound in BOUNDS.values())


def test_the_units_are_those_of_the_contract():
    assert {str(dimension): units_of(dimension) for dimension in Dimension} == {
        "volume": ["ml", "l", "fl_oz", "pt", "qt", "gal", "imp_fl_oz", "imp_gal"],
        "mass": ["g", "kg", "oz", "lb"],
        "area": ["m2", "ha", "sq_ft", "acre"],
        "length": ["mm", "cm", "m", "in", "ft"],
        "speed": ["m_s", "km_h", "mph", "kn"],
        "temperature": ["c", "f"],
    }


def test_every_unit_names_itself_and_its_source():
    assert all(code == unit.code and unit.source for code, unit in UNITS.items())
    assert len({unit.name_one for unit in UNITS.values()} | {unit.name_many for unit in UNITS.values()}) == 2 * len(
        UNITS
    )


def test_a_gallon_and_a_pound_are_whole_base_units():
    assert to_base("1", "gal", Dimension.VOLUME) == 3_785_411_784
    assert to_base("1", "lb", Dimension.MASS) == 453_592_370


def test_128_rounded_fluid_ounces_exceed_a_gallon_by_56_nanolitres():
    ounces = 128 * to_base("1", "fl_oz", Dimension.VOLUME)

    assert ounces - to_base("1", "gal", Dimension.VOLUME) == 56
    assert to_base("128", "fl_oz", Dimension.VOLUME) == to_base("1", "gal", Dimension.VOLUME)


@pytest.mark.parametrize("code", ["oz", "acre", "sq_ft", "imp_fl_oz", "fl_oz"])
def test_these_units_are_no_whole_number_of_base_units(code):
    assert UNITS[code].per_unit.denominator > 1


@pytest.mark.parametrize(("ml", "nl"), [("0.0000005", 0), ("0.0000015", 2), ("0.0000025", 2), ("0.00000250001", 3)])
def test_an_entry_is_rounded_once_half_to_even(ml, nl):
    assert to_base(ml, "ml", Dimension.VOLUME) == nl


def test_a_fluid_ounce_is_not_an_ounce_and_us_is_not_imperial():
    assert UNITS["fl_oz"].dimension == Dimension.VOLUME
    assert UNITS["oz"].dimension == Dimension.MASS
    assert to_base(1, "imp_gal", Dimension.VOLUME) > to_base(1, "gal", Dimension.VOLUME)
    assert to_base(1, "imp_fl_oz", Dimension.VOLUME) < to_base(1, "fl_oz", Dimension.VOLUME)


def test_freezing_point_and_the_crossing_of_the_scales_are_exact():
    assert to_base("32", "f", Dimension.TEMPERATURE) == 0
    assert to_base("-40", "f", Dimension.TEMPERATURE) == to_base("-40", "c", Dimension.TEMPERATURE) == -40_000
    assert from_base(0, "f") == 32


@pytest.mark.parametrize("number", [1.0, float("nan"), True, None, 1j, b"1", pytest.param([1], id="list")])
def test_an_inexact_number_is_a_type_error(number):
    with pytest.raises(TypeError):
        to_base(number, "gal", Dimension.VOLUME)


def test_a_float_is_a_type_error_also_after_its_equal_was_converted():
    assert to_base(1, "gal", Dimension.VOLUME) == to_base(Fraction(1), "gal", Dimension.VOLUME)
    with pytest.raises(TypeError):
        to_base(1.0, "gal", Dimension.VOLUME)


@pytest.mark.parametrize("base", [1.0, True, Fraction(1), "1", None])
def test_base_units_are_whole_numbers_only(base):
    with pytest.raises(TypeError):
        from_base(base, "gal")


@pytest.mark.parametrize("code", [None, 1, ("gal",)])
def test_a_unit_that_is_no_text_is_a_type_error(code):
    with pytest.raises(TypeError):
        to_base(1, code, Dimension.VOLUME)


@pytest.mark.parametrize("code", ["", "GAL", "gallon", "floz", "fl oz", "psi", "gal ", "person"])
def test_an_unknown_unit_is_refused_with_the_units_there_are(code):
    with pytest.raises(UnitUnknown) as caught:
        to_base("1", code, Dimension.VOLUME, where="mix.unit")

    assert not isinstance(caught.value, NotAQuantity)
    assert (caught.value.code, caught.value.where) == ("unit_unknown", "mix.unit")
    assert "ml, l, fl_oz, pt, qt, gal, imp_fl_oz, imp_gal" in str(caught.value)


@pytest.mark.parametrize(
    "code",
    ["each", "bag", "Bags", "boxes", "lb/acre", "oz_per_gal", "fl oz per acre", "%", "percent", "gal/min", "stems"],
)
def test_a_count_or_a_rate_is_refused_as_no_quantity(code):
    with pytest.raises(
        NotAQuantity, match=r"is a count or a rate, not a quantity\. Units of mass: g, kg, oz, lb\."
    ) as caught:
        to_base("1", code, Dimension.MASS)

    assert caught.value.code == "unit_unknown"


def test_a_unit_of_another_dimension_is_refused():
    with pytest.raises(UnitWrongDimension, match="ounce of weight.*unit of mass.*volume is wanted.*fl_oz") as caught:
        to_base("64", "oz", Dimension.VOLUME, where="mix.unit")

    assert (caught.value.code, caught.value.where) == ("unit_wrong_dimension", "mix.unit")


def test_an_amount_below_nothing_is_refused_but_a_temperature_is_not():
    with pytest.raises(AmountNegative) as caught:
        to_base("-0.0000000001", "gal", Dimension.VOLUME, where="mix.value")

    assert (caught.value.code, caught.value.where) == ("amount_negative", "mix.value")
    assert to_base("-0", "gal", Dimension.VOLUME) == 0
    assert to_base("-6.67", "c", Dimension.TEMPERATURE) == -6670


def test_an_absurd_amount_is_refused_with_the_bound():
    with pytest.raises(AmountAbsurd, match="at most 1,000,000 litres") as caught:
        to_base("999999999999999999", "gal", Dimension.VOLUME, where="mix.value")

    assert (caught.value.code, caught.value.where) == ("amount_absurd", "mix.value")


def test_every_refusal_of_a_quantity_is_a_rule_violation():
    assert all(
        issubclass(refusal, RuleViolation)
        for refusal in (NumberUnreadable, UnitUnknown, NotAQuantity, UnitWrongDimension, AmountNegative, AmountAbsurd)
    )


@pytest.mark.parametrize(
    ("base", "unit", "text"),
    [
        (0, "ml", "0"),
        (378_541_178, "fl_oz", "12.8"),
        (3_785_411_784, "gal", "1"),
        (3_785_411_784, "ml", "3785"),
        (12_345_000_000, "ml", "12345"),
        (29_573_530, "ml", "29.57"),
        (99_999_600, "ml", "100"),
        (100_000, "ml", "0.1"),
        (105_123, "ml", "0.1051"),
        (123_450, "ml", "0.1234"),
        (123_550, "ml", "0.1236"),
        (1, "ml", "0.000001"),
        (38, "gal", "0.00000001"),
        (1, "gal", "0"),
        (-6_670, "c", "-6.67"),
        (-17_778, "f", "0"),
        (29_444, "f", "85"),
    ],
)
def test_an_amount_is_shown_with_four_digits_half_to_even_without_exponent(base, unit, text):
    assert shown(base, unit) == text


def test_more_digits_are_shown_when_asked_for():
    assert shown(29_573_530, "ml", digits=8) == "29.57353"


@pytest.mark.parametrize("code", UNITS)
@given(data=st.data())
def test_what_is_shown_is_plain_and_within_half_of_its_last_significant_digit(code, data):
    bound = BOUNDS[UNITS[code].dimension]
    base = data.draw(st.integers(bound.least, bound.most))
    number = from_base(base, code)

    text = shown(base, code)

    assert parse_decimal(text.lstrip("-")[:MAX_DIGITS]) >= 0
    assert "." not in text or not text.endswith(("0", "."))
    assert abs(Fraction(text) - number) <= max(abs(number) / 2000, 5 / UNITS[code].per_unit)


@given(base=st.integers(0, 10**15), unit=st.sampled_from(units_of(Dimension.VOLUME)))
def test_an_amount_that_was_worked_out_is_written_so_that_it_reads_back(base, unit):
    assert to_base(exact_value(base, unit), unit, Dimension.VOLUME) == base


@pytest.mark.parametrize(
    ("base", "unit", "text"),
    [(295_735_296, "fl_oz", "10"), (98_578_432, "ml", "98.578432"), (3_785_411_784, "gal", "1"), (0, "qt", "0")],
)
def test_no_more_places_are_written_than_tell_it_apart(base, unit, text):
    assert exact_value(base, unit) == text
