"""A reading against stored limits: where it lies, and the words for that. Nothing here is a permission.

Values are exact and in the unit of the limit. Limits are cited data and disagree with one another; each is compared by
itself. The label decides, whether a limit is stored or not.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from stewardship.rules.decimals import exact
from stewardship.rules.methods import HERBICIDE_METHODS
from stewardship.rules.refusals import RuleViolation

Number = int | Fraction | Decimal
Position = Literal["below", "within", "above", "may_be_above", "unknown"]
Standing = Literal[Position, "no_limit"]

WORDS: dict[Standing, str] = {
    "above": "over a stored limit",
    "below": "below a stored limit",
    "may_be_above": "may be over a stored limit",
    "unknown": "not known, so a stored limit cannot be compared",
    "within": "no stored limit exceeded; read the label",
    "no_limit": "no stored limit to compare with; read the label",
}
GRAVEST_FIRST: tuple[Position, ...] = ("above", "below", "may_be_above", "unknown", "within")

SPRAYS = ("foliar", "basal_bark")
"""Methods that put drops into the air. A daub on a stump and an injection do not: the page of a state woody-plant
coalition on girdling and stem injection has them done in weather that stops a spray."""

OF_SPRAYS_ONLY = ("wind", "hot_and_dry", "delta_t")
"""What is limited because of drops in the air."""


class LimitMissing(RuleViolation):
    """A limit without a value at either end."""

    code = "limit_missing"
    message = "This limit states no value, so there is nothing to compare with. Enter its lower or its upper end."


class LimitUpsideDown(RuleViolation):
    """A limit whose lower end lies above its upper one."""

    code = "limit_upside_down"
    message = "The lower end of this limit lies above its upper end: exchange them."


class WaitClassUnknown(RuleViolation):
    """A wait that is none of the classes."""

    code = "wait_class_unknown"
    message = "Say how long the longest wait was, as one of: {classes}."
    where = "longest_wait"


class TimeNegative(RuleViolation):
    """A time before the one it is counted from."""

    code = "time_negative"
    message = "The rain cannot have come before the treatment it is counted from: look at both times."
    where = "first_rain"


def compare(value: Number | None, *, low: Number | None, high: Number | None) -> Position:
    """Return where ``value`` lies to a limit from ``low`` to ``high``, both ends within; None is an open end.

    All in one unit. A value of None is "unknown". Raises LimitMissing, LimitUpsideDown; a float is a TypeError.
    """
    least, most, reading = _exact(low), _exact(high), _exact(value)
    if least is None and most is None:
        raise LimitMissing
    if least is not None and most is not None and least > most:
        raise LimitUpsideDown
    if reading is None:
        return "unknown"
    if least is not None and reading < least:
        return "below"
    return "above" if most is not None and reading > most else "within"


def judges(what: str, *, limit_method: str, method: str) -> bool:
    """Tell whether a limit of ``what`` for ``limit_method`` (empty: any) is about work done by ``method``.

    A limit of wind, of hot and dry air or of Delta T that names no method judges sprays alone: 12 mph is over a foliar
    limit and not over a daub's, which has none. Common practice, no source but that of SPRAYS.
    """
    if method not in HERBICIDE_METHODS:
        return False
    if limit_method:
        return limit_method == method
    return what not in OF_SPRAYS_ONLY or method in SPRAYS


def gravest(positions: Iterable[Position]) -> Standing:
    """Return the gravest of several positions, "no_limit" for none: an unknown never becomes "within"."""
    found = set(positions)
    return next((position for position in GRAVEST_FIRST if position in found), "no_limit")


def both_at_once(first: Position, second: Position) -> Position:
    """Return the position to a limit that counts only when two readings are outside it together: "above" then.

    Source: Ontario (OMAFRA), How weather conditions affect spray applications: above 25 degrees Celsius and below 40 %
    of humidity.
    """
    if "within" in (first, second):
        return "within"
    return "unknown" if "unknown" in (first, second) else "above"


# -- from cut to treatment -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Wait:
    """A class of waits: from ``from_s`` [s] to less than ``under_s`` [s], None without an end, and its words."""

    from_s: int
    under_s: int | None
    words: str


WAITS: dict[str, Wait] = {
    "under_1_min": Wait(0, 60, "less than 1 minute"),
    "1_to_5_min": Wait(60, 300, "1 to less than 5 minutes"),
    "5_to_15_min": Wait(300, 900, "5 to less than 15 minutes"),
    "15_to_60_min": Wait(900, 3600, "15 to less than 60 minutes"),
    "60_min_or_more": Wait(3600, None, "60 minutes or more"),
}
"""The longest wait between cutting and treating is asked once, as one of these. The classes are ours."""


def compare_wait(wait: str | None, *, limit_s: Number) -> Position:
    """Return where the longest wait, a key of WAITS, lies to a limit of ``limit_s`` seconds; None is "unknown".

    A class that begins at the limit or beyond is "above", one that the limit lies in "may_be_above", one that ends at
    the limit or before it "within". Raises WaitClassUnknown, and LimitMissing for a limit of nothing.
    """
    limit = exact(_exact(limit_s) or 0)
    if limit <= 0:
        raise LimitMissing
    if wait is None:
        return "unknown"
    if wait not in WAITS:
        raise WaitClassUnknown(classes=", ".join(each.words for each in WAITS.values()))
    found = WAITS[wait]
    if found.from_s >= limit:
        return "above"
    return "within" if found.under_s is not None and found.under_s <= limit else "may_be_above"


# -- from treatment to rain ----------------------------------------------------------------------------


def compare_rain(*, first_rain_h: Number | None, dry_h: Number | None = None, rainfast_h: Number) -> Position:
    """Return where the hours to first rain lie to the rainfast hours: "below" is rain too soon.

    ``first_rain_h``: hours from treatment to first rain, None where none was seen; ``dry_h``: hours known to have been
    dry, None where nobody looked. Dry for less than the rainfast hours so far is "unknown". Raises TimeNegative, and
    LimitMissing for rainfast hours of nothing.
    """
    rain, dry, wanted = _exact(first_rain_h), _exact(dry_h), _exact(rainfast_h)
    if wanted is None or wanted <= 0:
        raise LimitMissing
    if any(hours is not None and hours < 0 for hours in (rain, dry)):
        raise TimeNegative
    if rain is not None:
        return compare(rain, low=wanted, high=None)
    return "within" if dry is not None and dry >= wanted else "unknown"


def _exact(value: Number | None) -> Fraction | None:
    if isinstance(value, Decimal):
        return Fraction(value)
    return None if value is None else exact(value)
