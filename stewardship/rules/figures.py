"""Figures: exact numbers as text, to keep and to show.

An exact number is kept as decimal text where it has one ("479.3") and else as numerator and denominator ("2/3"):
nothing is rounded away, and the text reads back to the same number.
"""

import re
from fractions import Fraction
from functools import lru_cache

from stewardship.rules.decimals import quoted
from stewardship.rules.refusals import RuleViolation

_EXACT = re.compile(r"-?[0-9]+(?:\.[0-9]+|/[1-9][0-9]*)?")


class FigureUnreadable(RuleViolation):
    """The text is not an exact number as we keep it."""

    code = "figure_unreadable"
    message = '{shown} is not an exact number: it is written as decimal text ("479.3") or as a fraction ("2/3").'


def exact_text(number: Fraction | int) -> str:
    """Return the one text of an exact number: decimal where that is exact, else ``numerator/denominator``."""
    number = Fraction(number)
    places = _decimal_places(number.denominator)
    if places is None:
        return f"{number.numerator}/{number.denominator}"
    whole, rest = divmod(abs(number.numerator) * 10**places // number.denominator, 10**places)
    sign = "-" if number < 0 else ""
    return f"{sign}{whole}.{rest:0{places}d}" if places else f"{sign}{whole}"


@lru_cache(maxsize=4096)
def from_exact_text(text: str) -> Fraction:
    """Return the exact number of a text made by ``exact_text``. Raises FigureUnreadable; other than text: TypeError."""
    if not isinstance(text, str):
        raise TypeError(f"text is wanted, not {type(text).__name__}")
    if not _EXACT.fullmatch(text):
        raise FigureUnreadable(shown=quoted(text))
    return Fraction(text)


def rounded_text(number: Fraction | int, digits: int = 4) -> str:
    """Return a number for the eye: ``digits`` significant, half to even, no exponent, no trailing zeros.

    Digits before the point are never rounded away: 12345 stays ``12345``.
    """
    number = Fraction(number)
    places = 0
    while abs(number) * 10**places < 10 ** (digits - 1) and places < digits + 12:
        places += 1
    return exact_text(Fraction(round(number * 10**places), 10**places))


def _decimal_places(denominator: int) -> int | None:
    """Return how many decimal places write a fraction with this denominator exactly; None where none do."""
    twos = fives = 0
    while denominator % 2 == 0:
        denominator, twos = denominator // 2, twos + 1
    while denominator % 5 == 0:
        denominator, fives = denominator // 5, fives + 1
    return max(twos, fives) if denominator == 1 else None
