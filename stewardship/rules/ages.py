"""How old somebody is on a date, and whether that is old enough: as exact as what is known.

A date of birth is sensitive, so less may be known: that somebody is 18 or over from a day
on, or that they are under 18.
"""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from stewardship.rules.refusals import RuleViolation

ADULT_YEARS = 18
"""From this age on somebody is an adult: the meaning of the word here, not a limit of any label or law."""

LEAP_DAY = (2, 29)

OldEnough = Literal["yes", "no", "unknown"]


class NotBornYet(RuleViolation):
    """A date of birth after the day that is asked about."""

    code = "not_born_yet"
    message = "This date of birth lies after {on}. Correct one of the two."
    where = "born_on"


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownAge:
    """What is known of somebody's age; nothing at all is unknown, never old enough.

    ``adult_from``: 18 or over from this day on. ``is_under_18``: under 18 before that day, or with no day known.
    """

    born_on: date | None = None
    adult_from: date | None = None
    is_under_18: bool = False


def birthday(born_on: date, years: int) -> date:
    """Return the day from which somebody is ``years`` old.

    Who was born on 29 February is a year older on 1 March of a year without that day. The laws differ: Hong Kong, Cap.
    410 s. 5(2), says 1 March, New Zealand law 28 February (both from memory). The later day is the cautious one.
    """
    year = born_on.year + years
    is_leap = year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
    if (born_on.month, born_on.day) == LEAP_DAY and not is_leap:
        return date(year, 3, 1)
    return date(year, born_on.month, born_on.day)


def age_on(born_on: date, on: date) -> int:
    """Return the whole years of somebody's age on a local date. Raises NotBornYet."""
    if on < born_on:
        raise NotBornYet(on=on)
    years = on.year - born_on.year
    return years if birthday(born_on, years) <= on else years - 1


def old_enough(known: KnownAge, minimum_age: int, on: date) -> OldEnough:
    """Return whether somebody is at least ``minimum_age`` years old on a local date, as far as is known."""
    if known.born_on:
        return "yes" if on >= known.born_on and age_on(known.born_on, on) >= minimum_age else "no"
    if known.adult_from and on >= known.adult_from:
        return "yes" if minimum_age <= ADULT_YEARS else "unknown"
    if known.is_under_18:
        return "no" if minimum_age >= ADULT_YEARS else "unknown"
    return "unknown"


def is_minor(known: KnownAge, on: date) -> bool | None:
    """Return whether somebody is under 18 on a local date; None where nobody knows."""
    return {"yes": False, "no": True, "unknown": None}[old_enough(known, ADULT_YEARS, on)]
