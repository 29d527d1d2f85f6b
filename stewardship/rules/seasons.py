"""Seasons: named stretches of local dates, each with its first and last day, which both belong to it.

A season may cross the year's end: a dormant season from November to March is ONE season, "2025/26". The dates are the
group's own choice, since region and hemisphere move them (common practice, no source).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import MAXYEAR, date, timedelta
from itertools import pairwise

from stewardship.rules.dates import DateOutOfRange, add_years, check_month_day, day_of_year
from stewardship.rules.refusals import RuleViolation

ONE_DAY = timedelta(days=1)


class SeasonEndsBeforeItBegins(RuleViolation):
    """A season whose last day comes before its first."""

    code = "season_ends_before_it_begins"
    message = "The season {name} ends on {last_on}, before it begins on {first_on}."
    where = "last_on"


class SeasonsOverlap(RuleViolation):
    """Two seasons that share a day, so that work on it would count twice."""

    code = "seasons_overlap"
    message = "{shared_on} would belong to both {earlier} and {later}. A day belongs to one season."
    where = "first_on"


@dataclass(frozen=True, slots=True)
class Season:
    """A season with its dates. Raises SeasonEndsBeforeItBegins."""

    name: str
    first_on: date
    last_on: date

    def __post_init__(self) -> None:
        if self.last_on < self.first_on:
            raise SeasonEndsBeforeItBegins(name=self.name, first_on=self.first_on, last_on=self.last_on)

    def holds(self, on: date) -> bool:
        """Tell whether the local date ``on`` belongs to the season."""
        return self.first_on <= on <= self.last_on

    @property
    def days(self) -> int:
        """Return how many days it has."""
        return (self.last_on - self.first_on).days + 1


@dataclass(frozen=True, slots=True)
class Gap:
    """Days between two seasons that belong to neither."""

    first_on: date
    last_on: date


@dataclass(frozen=True, slots=True)
class Recurring:
    """A season that comes back: its first and last day as (month, day), and the pattern of its name.

    Raises NoSuchDay for a day that no year has.
    """

    name_pattern: str
    first: tuple[int, int]
    last: tuple[int, int]

    def __post_init__(self) -> None:
        check_month_day(*self.first)
        check_month_day(*self.last)

    @property
    def crosses_the_year_end(self) -> bool:
        """Tell whether it ends in the year after the one in which it begins."""
        return self.last < self.first


def season_of(on: date, seasons: Iterable[Season]) -> Season | None:
    """Return the season that the local date ``on`` belongs to, or None in a gap."""
    return next((season for season in seasons if season.holds(on)), None)


def check_seasons(seasons: Iterable[Season]) -> tuple[Gap, ...]:
    """Return the gaps between seasons, in order of date; a gap is told, not refused. Raises SeasonsOverlap."""
    in_order = sorted(seasons, key=lambda season: (season.first_on, season.last_on))
    gaps = []
    for earlier, later in pairwise(in_order):
        if later.first_on <= earlier.last_on:
            raise SeasonsOverlap(shared_on=later.first_on, earlier=earlier.name, later=later.name)
        if later.first_on - earlier.last_on > ONE_DAY:
            gaps.append(Gap(earlier.last_on + ONE_DAY, later.first_on - ONE_DAY))
    return tuple(gaps)


def season_name(pattern: str, first_on: date, last_on: date) -> str:
    """Put the years in place of ``{years}``: "Dormant {years}" gives "Dormant 2025/26", or "… 2025" in one year."""
    years = f"{first_on.year}"
    if last_on.year != first_on.year:
        years += f"/{last_on.year % 100:02d}"
    return pattern.replace("{years}", years)


def recurring(template: Recurring, year: int) -> Season:
    """Return the season that ``template`` begins in ``year``.

    In a year without 29 February a season that begins on it begins on 1 March, and one that ends on it ends on
    28 February, so that two seasons that meet there neither overlap nor leave a gap.
    Raises SeasonEndsBeforeItBegins (29 February alone, in such a year), DateOutOfRange.
    """
    first_on = day_of_year(year, *template.first)
    if first_on.day != template.first[1]:
        first_on += ONE_DAY
    if template.crosses_the_year_end and year == MAXYEAR:
        raise DateOutOfRange()
    last_on = day_of_year(year + template.crosses_the_year_end, *template.last)
    return Season(season_name(template.name_pattern, first_on, last_on), first_on, last_on)


def same_season_last_year(season: Season, seasons: Sequence[Season]) -> Season | None:
    """Return the season to compare ``season`` with: the one that stood in its place a year earlier, or None.

    Dates may have moved a little from year to year: two seasons match when, seen a year apart, at least two thirds of
    the days of both together are common to them. A dormant season is never compared with a whole calendar year.
    """
    if season.first_on.year == 1:
        return None
    a_year_earlier = Season(season.name, add_years(season.first_on, -1), add_years(season.last_on, -1))
    others = (other for other in seasons if other != season)
    return next((other for other in others if _mostly_the_same_days(other, a_year_earlier)), None)


def _mostly_the_same_days(one: Season, other: Season) -> bool:
    common = (min(one.last_on, other.last_on) - max(one.first_on, other.first_on)).days + 1
    return 3 * common >= 2 * (one.days + other.days - common)
