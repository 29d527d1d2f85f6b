"""Humidity and Delta T against printed examples and an independent library."""

from decimal import Decimal
from fractions import Fraction

import psychrolib
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from stewardship.rules.refusals import RuleViolation
from stewardship.rules.weather import (
    delta_t,
    delta_t_measured,
    humidity_ashrae_percent,
    humidity_of_bulbs,
    pressure_at_pa,
    psychrometer_percent,
    vapour_pressure_pa,
    wet_bulb_ashrae_c,
    wet_bulb_stull_c,
)
from tests.published import printed_number, published, within_print

psychrolib.SetUnitSystem(psychrolib.SI)

ASHRAE = published("delta_t_ashrae")
SETTLED_C = 0.001  # their halving ends there, and the tables were made by it
air_mc, humidities, pressures = st.integers(-40_000, 60_000), st.integers(0, 100), st.integers(50_000, 110_000)


def mc(printed: str) -> int:
    return int(printed_number(printed) * 1000)


def cell(row) -> str:
    return f"{row['id']} {row['air_c']} C {row['humidity_pct']} %"


@pytest.mark.parametrize("row", ASHRAE, ids=cell)
def test_delta_t_by_the_ashrae_method_is_that_of_the_table_and_of_psychrolib(row):
    humidity, pressure = int(row["humidity_pct"]), int(row["pressure_pa"])

    found = delta_t(mc(row["air_c"]), humidity, pressure_pa=pressure)

    theirs = psychrolib.GetTWetBulbFromRelHum(float(row["air_c"]), humidity / 100, pressure)
    ours = wet_bulb_ashrae_c(mc(row["air_c"]), humidity, pressure_pa=pressure)
    assert float(row["air_c"]) - ours == pytest.approx(float(row["delta_t_c"]), abs=0.005 + SETTLED_C)
    assert ours == pytest.approx(theirs, abs=SETTLED_C)
    assert found.value_c == round(Decimal(row["air_c"]) - Decimal(ours), 2)
    assert (found.method, found.pressure_pa) == ("ashrae", pressure)


@pytest.mark.parametrize("row", ASHRAE, ids=cell)
def test_the_pressure_of_an_altitude_is_that_of_the_table_and_of_psychrolib(row):
    found = pressure_at_pa(int(row["altitude_m"]))

    assert found == int(row["pressure_pa"])
    assert found == round(psychrolib.GetStandardAtmPressure(int(row["altitude_m"])))


@pytest.mark.parametrize("row", published("stull_wet_bulb"), ids=str)
def test_the_short_formula_gives_its_own_wet_bulb_and_not_that_of_ashrae(row):
    air, humidity = mc(row["air_c"]), int(row["humidity_pct"])

    short, long = delta_t(air, humidity, method="stull_2011"), delta_t(air, humidity)

    assert within_print(Fraction(wet_bulb_stull_c(air, humidity)), row["wet_bulb_c"])
    assert wet_bulb_ashrae_c(air, humidity) == pytest.approx(float(row["ashrae_wet_bulb_c"]), abs=0.0005 + SETTLED_C)
    assert (short.value_c, short.method) == (Decimal(row["delta_t_c"]), "stull_2011")
    assert (long.value_c, long.method) == (Decimal(row["ashrae_delta_t_c"]), "ashrae")


@pytest.mark.parametrize("row", [row for row in ASHRAE if row["altitude_m"] == "0"], ids=cell)
def test_the_short_formula_stays_within_its_stated_error(row):
    short = delta_t(mc(row["air_c"]), int(row["humidity_pct"]), method="stull_2011").value_c

    assert -Decimal("0.65") <= short - Decimal(row["delta_t_c"]) <= 1  # its wet bulb errs by -1 to +0.65
    if row["stull_c"]:
        assert short == Decimal(row["stull_c"])


@pytest.mark.parametrize("row", published("metpy_psychrometer"), ids=str)
def test_two_thermometers_give_the_humidity_in_print(row):
    if row["saturation_hpa"]:
        assert within_print(Fraction(vapour_pressure_pa(mc(row["dry_c"]))) / 100, row["saturation_hpa"])
        return
    dry, wet, pressure = mc(row["dry_c"]), mc(row["wet_c"]), int(row["pressure_hpa"]) * 100

    found = humidity_of_bulbs(dry, wet, pressure_pa=pressure)

    assert within_print(Fraction(psychrometer_percent(dry, wet, pressure_pa=pressure)), row["humidity_pct"])
    assert found.value_percent == round(Decimal(row["humidity_pct"]), 2)
    assert (found.method, found.pressure_pa) == ("psychrometer", pressure)


@pytest.mark.parametrize("row", [row for row in published("metpy_psychrometer") if row["ashrae_pct"]], ids=str)
def test_the_method_matters_by_one_per_cent_of_humidity(row):
    dry, wet, pressure = mc(row["dry_c"]), mc(row["wet_c"]), int(row["pressure_hpa"]) * 100

    found = humidity_of_bulbs(dry, wet, method="ashrae", pressure_pa=pressure)

    theirs = psychrolib.GetRelHumFromTWetBulb(dry / 1000, wet / 1000, pressure)
    assert (found.value_percent, found.method) == (Decimal(row["ashrae_pct"]), "ashrae")
    assert 100 * theirs == pytest.approx(float(found.value_percent), abs=0.005)


@given(air_mc, humidities, pressures)
def test_the_wet_bulb_equals_that_of_psychrolib_but_where_it_may_be_water_or_ice(air, humidity, pressure):
    wet = wet_bulb_ashrae_c(air, humidity, pressure_pa=pressure)
    assume(not 0 <= wet < 1)  # there both a liquid and a frozen wick solve the equation

    assert wet == pytest.approx(psychrolib.GetTWetBulbFromRelHum(air / 1000, humidity / 100, pressure), abs=SETTLED_C)


@given(air_mc, humidities, pressures)
@example(5_000, 20, 101_325)
@example(18_697, 0, 56_686)
@example(1_424, 78, 91_462)
def test_the_wet_bulb_solves_the_equation_of_psychrolib_also_where_it_may_be_water_or_ice(air, humidity, pressure):
    wet = wet_bulb_ashrae_c(air, humidity, pressure_pa=pressure)

    moisture = psychrolib.GetHumRatioFromTWetBulb(air / 1000, min(wet, air / 1000), pressure)
    assert moisture == pytest.approx(psychrolib.GetHumRatioFromRelHum(air / 1000, humidity / 100, pressure), abs=2e-7)


@pytest.mark.parametrize(("air", "humidity"), [(5_000, 20), (2_000, 10), (3_000, 75), (4_000, 60)])
def test_a_wet_bulb_about_freezing_is_that_of_psychrolib(air, humidity):
    theirs = psychrolib.GetTWetBulbFromRelHum(air / 1000, humidity / 100, 101_325)

    assert wet_bulb_ashrae_c(air, humidity) == pytest.approx(theirs, abs=SETTLED_C)


@given(air_mc, humidities.filter(bool), pressures)
def test_a_wet_bulb_gives_back_the_humidity_it_came_from(air, humidity, pressure):
    wet_mc = round(wet_bulb_ashrae_c(air, humidity, pressure_pa=pressure) * 1000)
    assume(wet_mc != 0 and air >= -10_000)  # in hard frost a thousandth of a degree is per cents of humidity

    assert humidity_ashrae_percent(air, min(wet_mc, air), pressure_pa=pressure) == pytest.approx(humidity, abs=0.15)


@given(air_mc, humidities)
def test_delta_t_is_never_below_nothing(air, humidity):
    assert delta_t(air, humidity).value_c >= 0


@given(air_mc, st.integers(0, 99))
def test_drier_air_has_a_larger_delta_t(air, humidity):
    assume(not -1_000 <= air <= 20_000)  # a wick that freezes on the way changes the equation

    assert wet_bulb_ashrae_c(air, humidity) < wet_bulb_ashrae_c(air, humidity + 1)


def test_air_full_of_water_has_no_delta_t():
    assert delta_t(20_000, 100).value_c == 0
    assert psychrometer_percent(20_000, 20_000) == 100


def test_humidity_may_be_a_decimal_or_a_fraction():
    assert delta_t(20_000, Decimal("50.0")) == delta_t(20_000, Fraction(50)) == delta_t(20_000, 50)


def test_two_thermometers_read_give_delta_t_exactly_with_its_method():
    found = delta_t_measured(19_050, 10_000)

    assert (found.value_c, found.method, found.pressure_pa) == (Decimal("9.05"), "measured", None)


def test_a_value_is_a_decimal_to_the_hundredth():
    assert str(delta_t(20_000, 50).value_c) == "6.22"
    assert str(humidity_of_bulbs(20_000, 20_000).value_percent) == "100.00"


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: delta_t(60_001, 50), "The air must be from 40 degrees"),
        (lambda: delta_t(-40_001, 50), "The air must be from 40 degrees"),
        (lambda: delta_t(20_000, 101), "humidity must be from 0 to 100 %"),
        (lambda: delta_t(20_000, -1), "humidity must be from 0 to 100 %"),
        (lambda: delta_t(20_000, Decimal("NaN")), "humidity must be from 0 to 100 %"),
        (lambda: delta_t(20_000, 50, pressure_pa=49_999), "500 to 1,100 hectopascals"),
        (lambda: delta_t(20_000, 50, pressure_pa=110_001), "500 to 1,100 hectopascals"),
        (lambda: psychrometer_percent(20_000, 15_000, pressure_pa=1013), "500 to 1,100 hectopascals"),
        (lambda: humidity_ashrae_percent(20_000, 15_000, pressure_pa=1013), "500 to 1,100 hectopascals"),
        (lambda: delta_t_measured(20_000, -80_001), "The wet bulb must be"),
        (lambda: pressure_at_pa(5_001), "The altitude must be"),
        (lambda: pressure_at_pa(-501), "The altitude must be"),
    ],
)
def test_air_that_no_working_day_has_is_refused(call, words):
    with pytest.raises(RuleViolation, match=words) as refusal:
        call()

    assert refusal.value.code == "air_out_of_range"


@pytest.mark.parametrize("call", [delta_t_measured, psychrometer_percent, humidity_ashrae_percent])
def test_a_wet_bulb_warmer_than_the_dry_one_is_refused(call):
    with pytest.raises(RuleViolation, match="cannot be warmer") as refusal:
        call(20_000, 20_001)

    assert (refusal.value.code, refusal.value.where) == ("wet_bulb_above_dry", "wet_bulb")


@pytest.mark.parametrize("call", [psychrometer_percent, humidity_ashrae_percent])
def test_a_wet_bulb_colder_than_the_driest_air_makes_it_is_refused(call):
    with pytest.raises(RuleViolation, match="No air is so dry") as refusal:
        call(30_000, 5_000)

    assert (refusal.value.code, refusal.value.where) == ("wet_bulb_too_cold", "wet_bulb")


def test_a_wet_bulb_of_nearly_the_driest_air_is_taken():
    assert 0 < psychrometer_percent(30_000, 11_000) < 3


@pytest.mark.parametrize(
    ("air", "humidity", "words"),
    [
        (-20_000, 36, "wet bulb warmer than the dry one"),
        (-20_001, 50, "5 to 99 %"),
        (50_001, 50, "5 to 99 %"),
        (20_000, Fraction(499, 100), "5 to 99 %"),
        (20_000, Fraction(9901, 100), "5 to 99 %"),
        (20_000, 100, "5 to 99 %"),
    ],
)
def test_the_short_formula_is_refused_where_it_does_not_hold(air, humidity, words):
    with pytest.raises(RuleViolation, match=f"{words}.* Take the ASHRAE method") as refusal:
        delta_t(air, humidity, method="stull_2011")

    assert (refusal.value.code, refusal.value.where) == ("method_out_of_range", "method")


@pytest.mark.parametrize(("air", "humidity"), [(-20_000, 60), (50_000, 50), (20_000, 5), (20_000, 99)])
def test_the_short_formula_is_taken_at_the_edges_where_it_holds(air, humidity):
    assert delta_t(air, humidity, method="stull_2011").value_c >= 0


@pytest.mark.parametrize("reading", [20.0, True, "20000"])
def test_a_reading_that_is_not_whole_is_a_type_error(reading):
    with pytest.raises(TypeError):
        delta_t(reading, 50)
