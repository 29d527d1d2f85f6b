"""The air: relative humidity and Delta T, each with the method it was reckoned by.

Delta T is the dry-bulb less the wet-bulb temperature. Methods differ by up to a degree, so a figure never goes without
the name of its method. Temperatures come in as thousandths of a degree Celsius, whole, as they are stored. What is
reckoned here is an estimate by empirical formulas, so floats serve inside; it is handed on as a Decimal rounded to a
hundredth, finer than any method is true, which is an exact number again and the same on every machine.

Where and when to measure: in the shade, 1.25 m above the ground, at the site (GRDC, Spray Application Manual, 2025,
10.3).
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import atan, exp, isfinite, log, pow, sqrt
from typing import Literal

from stewardship.rules.refusals import RuleViolation

Method = Literal["ashrae", "stull_2011", "psychrometer", "measured"]
"""``ashrae``: thermodynamic wet bulb, ASHRAE Handbook - Fundamentals, 2017, chapter 1. ``stull_2011``: a short formula,
sea level only. ``psychrometer``: a ventilated pair of thermometers, WMO-No. 8. ``measured``: read, not reckoned."""

Number = int | Fraction | Decimal

SEA_LEVEL_PA = 101_325
ZERO_C_K = 273.15
WATER_VAPOUR_TO_DRY_AIR = 0.621945  # ratio of molar masses: ASHRAE
PSYCHROMETER_A = 6.21e-4  # per kelvin: Fan, Journal of Atmospheric and Oceanic Technology 4:239, 1987

LEAST_AIR_MC, MOST_AIR_MC = -40_000, 60_000
LEAST_PA, MOST_PA = 50_000, 110_000
LEAST_ALTITUDE_M, MOST_ALTITUDE_M = -500, 5_000


class AirOutOfRange(RuleViolation):
    """A reading that no working day has."""

    code = "air_out_of_range"
    message = "{what} must be {words}. Read the instrument again, and check the unit."


class WetBulbAboveDry(RuleViolation):
    """A wet bulb warmer than the dry one."""

    code = "wet_bulb_above_dry"
    message = "The wet bulb cannot be warmer than the dry bulb: read both again, or exchange them."
    where = "wet_bulb"


class WetBulbTooCold(RuleViolation):
    """A wet bulb colder than the driest air makes it."""

    code = "wet_bulb_too_cold"
    message = "No air is so dry that the wet bulb is this much colder than the dry bulb: read both again."
    where = "wet_bulb"


class MethodOutOfRange(RuleViolation):
    """Air that a formula was not made for."""

    code = "method_out_of_range"
    message = "The short formula (Stull 2011) does not hold for this air: {words}. Take the ASHRAE method."
    where = "method"


@dataclass(frozen=True, slots=True)
class DeltaT:
    """Dry-bulb less wet-bulb temperature [degrees C, to a hundredth], its method and the air pressure taken [Pa]."""

    value_c: Decimal
    method: Method
    pressure_pa: int | None


@dataclass(frozen=True, slots=True)
class Humidity:
    """Relative humidity [%, to a hundredth], its method and the air pressure taken [Pa]."""

    value_percent: Decimal
    method: Method
    pressure_pa: int


def pressure_at_pa(altitude_m: int) -> int:
    """Return the pressure of the standard atmosphere [Pa] at an altitude [m above the sea], to the nearest pascal.

    Source: ASHRAE Handbook - Fundamentals, 2017, chapter 1, equation 3. Raises AirOutOfRange.
    """
    _check("The altitude", altitude_m, LEAST_ALTITUDE_M, MOST_ALTITUDE_M, "from 500 m below the sea to 5,000 m above")
    return round(SEA_LEVEL_PA * pow(1 - 2.25577e-5 * altitude_m, 5.2559))


def delta_t(
    dry_mc: int,
    humidity_percent: Number,
    *,
    method: Literal["ashrae", "stull_2011"] = "ashrae",
    pressure_pa: int = SEA_LEVEL_PA,
) -> DeltaT:
    """Return Delta T from air temperature [thousandths of a degree C] and relative humidity [%].

    The short formula holds at sea level only; it takes no heed of ``pressure_pa``. Raises AirOutOfRange,
    MethodOutOfRange.
    """
    if method == "stull_2011":
        wet_c = wet_bulb_stull_c(dry_mc, humidity_percent)
        return DeltaT(_hundredths(dry_mc / 1000 - wet_c), method, SEA_LEVEL_PA)
    wet_c = wet_bulb_ashrae_c(dry_mc, humidity_percent, pressure_pa=pressure_pa)
    return DeltaT(_hundredths(dry_mc / 1000 - wet_c), method, pressure_pa)


def delta_t_measured(dry_mc: int, wet_mc: int) -> DeltaT:
    """Return Delta T of two thermometers [thousandths of a degree C], exactly.

    Raises AirOutOfRange, WetBulbAboveDry.
    """
    _check_bulbs(dry_mc, wet_mc)
    return DeltaT(Decimal(dry_mc - wet_mc) / 1000, "measured", None)


def humidity_of_bulbs(
    dry_mc: int,
    wet_mc: int,
    *,
    method: Literal["psychrometer", "ashrae"] = "psychrometer",
    pressure_pa: int = SEA_LEVEL_PA,
) -> Humidity:
    """Return relative humidity from a dry and a wet bulb [thousandths of a degree C] at ``pressure_pa`` [Pa].

    ``psychrometer`` is for two thermometers in moving air, ``ashrae`` takes the wet bulb as the thermodynamic one; they
    differ by about 1 % of humidity. Raises AirOutOfRange, WetBulbAboveDry, WetBulbTooCold.
    """
    reckon = psychrometer_percent if method == "psychrometer" else humidity_ashrae_percent
    return Humidity(_hundredths(reckon(dry_mc, wet_mc, pressure_pa=pressure_pa)), method, pressure_pa)


# -- the formulas, unrounded -----------------------------------------------------------------------


def psychrometer_percent(dry_mc: int, wet_mc: int, *, pressure_pa: int = SEA_LEVEL_PA) -> float:
    """Return relative humidity [%] by the psychrometer formula, e = e_w(wet) - A p (dry - wet).

    For a wick that is not frozen. Source: World Meteorological Organization, Guide to Instruments (WMO-No. 8), with
    A = 6.21e-4 after Fan 1987.
    """
    _check_bulbs(dry_mc, wet_mc)
    _check_pressure(pressure_pa)
    vapour_pa = vapour_pressure_pa(wet_mc) - PSYCHROMETER_A * pressure_pa * (dry_mc - wet_mc) / 1000
    if vapour_pa < 0:
        raise WetBulbTooCold
    return 100 * vapour_pa / vapour_pressure_pa(dry_mc)


def vapour_pressure_pa(temperature_mc: int) -> float:
    """Return the saturation vapour pressure over liquid water [Pa].

    Source: Ambaum, Quarterly Journal of the Royal Meteorological Society 146:4252, 2020, equation 13, with constants as
    in MetPy. Those are from memory; they give its three printed examples to the last digit.
    """
    kelvin, zero, vaporization, steam = temperature_mc / 1000 + ZERO_C_K, 273.16, 2.50084e6, 461.5231157
    heat = 4219.4 - 1.33 / 0.33 * steam  # of liquid water less that of vapour, J/(kg K)
    latent = vaporization - heat * (kelvin - zero)
    return 611.2 * pow(zero / kelvin, heat / steam) * exp((vaporization / zero - latent / kelvin) / steam)


def wet_bulb_stull_c(dry_mc: int, humidity_percent: Number) -> float:
    """Return the wet bulb [degrees C] by the short formula, good to -1 to +0.65 degrees at sea level.

    For 5 to 99 % and -20 to 50 degrees C, but not where cold and dry meet: there it makes the wet bulb the warmer one.
    Source: Stull, Journal of Applied Meteorology and Climatology 50:2267, 2011. Raises MethodOutOfRange.
    """
    dry_c, humidity = _air(dry_mc, humidity_percent)
    if not (-20 <= dry_c <= 50 and 5 <= humidity <= 99):
        raise MethodOutOfRange(
            words="it is for 5 to 99 % of humidity and for 20 degrees Celsius below zero to 50 above"
        )
    wet_c = dry_c * atan(0.151977 * sqrt(humidity + 8.313659)) + atan(dry_c + humidity) - atan(humidity - 1.676331)
    wet_c += 0.00391838 * pow(humidity, 1.5) * atan(0.023101 * humidity) - 4.686035
    if wet_c > dry_c:
        raise MethodOutOfRange(words="it would make the wet bulb warmer than the dry one")
    return wet_c


def wet_bulb_ashrae_c(dry_mc: int, humidity_percent: Number, *, pressure_pa: int = SEA_LEVEL_PA) -> float:
    """Return the thermodynamic wet bulb [degrees C] at ``pressure_pa`` [Pa], by halving to a millionth of a degree.

    Source: ASHRAE Handbook - Fundamentals, 2017, chapter 1, equations 20, 33 and 35. Below zero, humidity is taken over
    ice; where a wet bulb may be liquid or ice just about zero, it is taken as liquid. Raises AirOutOfRange.
    """
    dry_c, humidity = _air(dry_mc, humidity_percent)
    _check_pressure(pressure_pa)
    wanted = _moisture(_saturation_ashrae_pa(dry_c) * humidity / 100, pressure_pa)
    liquid = dry_c >= 0 and _moisture_of_bulbs(dry_c, 0.0, pressure_pa) <= wanted
    low, high = (0.0, dry_c) if liquid else (dry_c - 100, min(dry_c, -1e-9))
    while high - low > 1e-6:
        middle = (low + high) / 2
        low, high = (middle, high) if _moisture_of_bulbs(dry_c, middle, pressure_pa) <= wanted else (low, middle)
    return (low + high) / 2


def humidity_ashrae_percent(dry_mc: int, wet_mc: int, *, pressure_pa: int = SEA_LEVEL_PA) -> float:
    """Return relative humidity [%] of a thermodynamic wet bulb: the other way round of ``wet_bulb_ashrae_c``."""
    _check_bulbs(dry_mc, wet_mc)
    _check_pressure(pressure_pa)
    moisture = _moisture_of_bulbs(dry_mc / 1000, wet_mc / 1000, pressure_pa)
    if moisture < 0:
        raise WetBulbTooCold
    vapour_pa = pressure_pa * moisture / (WATER_VAPOUR_TO_DRY_AIR + moisture)
    return 100 * vapour_pa / _saturation_ashrae_pa(dry_mc / 1000)


def _moisture(vapour_pa: float, pressure_pa: float) -> float:
    """Return kilograms of water vapour with a kilogram of dry air."""
    return WATER_VAPOUR_TO_DRY_AIR * vapour_pa / (pressure_pa - vapour_pa)


def _moisture_of_bulbs(dry_c: float, wet_c: float, pressure_pa: float) -> float:
    saturated = _moisture(_saturation_ashrae_pa(wet_c), pressure_pa)
    if wet_c >= 0:
        return ((2501 - 2.326 * wet_c) * saturated - 1.006 * (dry_c - wet_c)) / (2501 + 1.86 * dry_c - 4.186 * wet_c)
    return ((2830 - 0.24 * wet_c) * saturated - 1.006 * (dry_c - wet_c)) / (2830 + 1.86 * dry_c - 2.1 * wet_c)


def _saturation_ashrae_pa(celsius: float) -> float:
    """Return saturation over ice to the triple point and over water above it: equations 5 and 6."""
    t = celsius + ZERO_C_K
    if celsius <= 0.01:
        series = 6.3925247 - 9.677843e-3 * t + 6.2215701e-7 * t**2 + 2.0747825e-9 * t**3 - 9.484024e-13 * t**4
        return exp(-5.6745359e3 / t + series + 4.1635019 * log(t))
    series = 1.3914993 - 4.8640239e-2 * t + 4.1764768e-5 * t**2 - 1.4452093e-8 * t**3
    return exp(-5.8002206e3 / t + series + 6.5459673 * log(t))


# -- what is read --------------------------------------------------------------------------------------


def _air(dry_mc: int, humidity_percent: Number) -> tuple[float, float]:
    _check_dry(dry_mc)
    humidity = float(humidity_percent)
    if not isfinite(humidity) or not 0 <= humidity <= 100:
        raise AirOutOfRange(what="The relative humidity", words="from 0 to 100 %", where="humidity")
    return dry_mc / 1000, humidity


def _check_bulbs(dry_mc: int, wet_mc: int) -> None:
    _check_dry(dry_mc)
    _check("The wet bulb", wet_mc, 2 * LEAST_AIR_MC, MOST_AIR_MC, "a temperature of the air")
    if wet_mc > dry_mc:
        raise WetBulbAboveDry


def _check_dry(dry_mc: int) -> None:
    _check("The air", dry_mc, LEAST_AIR_MC, MOST_AIR_MC, "from 40 degrees Celsius below zero to 60 above")


def _check_pressure(pressure_pa: int) -> None:
    _check("The air pressure", pressure_pa, LEAST_PA, MOST_PA, "from 500 to 1,100 hectopascals")


def _check(what: str, reading: int, least: int, most: int, words: str) -> None:
    if isinstance(reading, bool) or not isinstance(reading, int):
        raise TypeError(f"a whole reading is wanted, not {type(reading).__name__}")
    if not least <= reading <= most:
        raise AirOutOfRange(what=what, words=words)


def _hundredths(number: float) -> Decimal:
    return Decimal(number).quantize(Decimal("0.01"))
