"""Local dates, and years and months added to a date.

A credential, a season and a record are all judged by the local date of the work: the date that the calendar on the
wall of that place showed.
"""

from calendar import monthrange
from datetime import MAXYEAR, MINYEAR, date, datetime, tzinfo

from stewardship.rules.refusals import RuleViolation

MONTHS_A_YEAR = 12


class MomentWithoutZone(RuleViolation):
    """A clock reading that does not say which zone it was read in."""

    code = "moment_without_zone"
    message = "{moment} does not say its time zone, so its date cannot be told."


class DateOutOfRange(RuleViolation):
    """A date outside the years that a calendar date can hold."""

    code = "date_out_of_range"
    message = "This date lies outside the years 1 to 9999."


class NoSuchDay(RuleViolation):
    """A month and a day that no year has."""

    code = "no_such_day"
    message = "There is no day {day} in month {month}."


def local_date(moment: datetime, zone: tzinfo) -> date:
    """Return the date that a wall calendar in ``zone`` shows at ``moment``.

    ``moment`` carries its own offset (UTC or other), so summer time never makes it ambiguous.
    Raises MomentWithoutZone, DateOutOfRange.
    """
    if moment.utcoffset() is None:
        raise MomentWithoutZone(moment=moment.isoformat())
    try:
        return moment.astimezone(zone).date()
    except OverflowError as beyond:
        raise DateOutOfRange() from beyond


def said(on: date) -> str:
    """Return a date in words: 1 July 2027."""
    return f"{on.day} {on:%B %Y}"


def day_of_year(year: int, month: int, day: int) -> date:
    """Return that day of ``year``; 29 February is 28 February in a year without one.

    Raises NoSuchDay for a day that no year has, DateOutOfRange.
    """
    if not MINYEAR <= year <= MAXYEAR:
        raise DateOutOfRange()
    check_month_day(month, day)
    return date(year, month, min(day, monthrange(year, month)[1]))


def check_month_day(month: int, day: int) -> None:
    """Refuse a month and day that no year has (29 February exists). Raises NoSuchDay."""
    leap_year = 2000
    if not 1 <= month <= MONTHS_A_YEAR or not 1 <= day <= monthrange(leap_year, month)[1]:
        raise NoSuchDay(month=month, day=day)


def add_months(start: date, months: int) -> date:
    """Return the same day ``months`` later (earlier if negative), or the last day of a month too short for it.

    29 February and 12 months make 28 February; 31 January and one month make 28 or 29 February.
    Raises DateOutOfRange.
    """
    years, month = divmod(start.year * MONTHS_A_YEAR + start.month - 1 + months, MONTHS_A_YEAR)
    if not MINYEAR <= years <= MAXYEAR:
        raise DateOutOfRange()
    return date(years, month + 1, min(start.day, monthrange(years, month + 1)[1]))


def add_years(start: date, years: int) -> date:
    """Return the same day ``years`` later; 29 February and one year make 28 February. Raises DateOutOfRange."""
    return add_months(start, years * MONTHS_A_YEAR)
