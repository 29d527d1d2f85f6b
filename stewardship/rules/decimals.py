"""Numbers as people write them: plain decimal text, read exactly or refused."""

import re
from fractions import Fraction

from stewardship.rules.refusals import RuleViolation

MAX_DIGITS = 18
_DECIMAL = re.compile(r"-?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)")


class NumberUnreadable(RuleViolation):
    """The text is not a plain decimal number."""

    code = "number_unreadable"
    message = (
        "{shown} is not a number we can read: write digits with at most one point, such as 12.8, "
        f"no more than {MAX_DIGITS} digits, without commas, spaces or letters."
    )


def parse_decimal(text: str, *, where: str = "", may_be_negative: bool = False) -> Fraction:
    """Return the exact number that plain decimal text such as ``12.8`` or ``.5`` states.

    Raises NumberUnreadable for anything else: blanks, signs (but a minus where ``may_be_negative``), exponents, commas,
    "NaN", digits of other scripts, more than MAX_DIGITS digits. A text that is no ``str`` is a TypeError.
    """
    if not isinstance(text, str):
        raise TypeError(f"decimal text is wanted, not {type(text).__name__}")
    digits = len(text) - text.count(".") - text.count("-")
    if digits > MAX_DIGITS or not _DECIMAL.fullmatch(text) or (text[0] == "-" and not may_be_negative):
        raise NumberUnreadable(where=where, shown=quoted(text))
    return Fraction(text)


def exact(value: Fraction | int | str, *, where: str = "") -> Fraction:
    """Return an exact number as a Fraction: whole, a fraction, or decimal text with or without a minus.

    A float or a bool is a TypeError: neither is what somebody entered.
    """
    if isinstance(value, str):
        return parse_decimal(value, where=where, may_be_negative=True)
    if isinstance(value, bool) or not isinstance(value, int | Fraction):
        raise TypeError(f"an exact number is wanted (Fraction, int or decimal text), not {type(value).__name__}")
    return Fraction(value)


def quoted(text: object) -> str:
    """Return what somebody typed in quotation marks, cut to a length that fits in a sentence."""
    plain = "".join(sign for sign in str(text)[:40] if sign.isprintable())
    return f'"{plain}…"' if len(str(text)) > 40 else f'"{plain}"'
