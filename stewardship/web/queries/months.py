"""A month of work days, week by week."""

from calendar import Calendar
from dataclasses import dataclass
from datetime import date, timedelta

from stewardship.web.access import Here
from stewardship.web.queries.days import days_listed
from stewardship.workdays.models import WorkDay

FIRST_YEAR, LAST_YEAR = 1900, 2200
"""Within these a month is shown: nobody leafs further."""


@dataclass(frozen=True)
class Dated:
    """A date of a month with its work days."""

    on: date
    is_in_month: bool
    is_today: bool
    days: list[WorkDay]


@dataclass(frozen=True)
class MonthShown:
    """A month: its weeks, and the months beside it."""

    first: date
    weeks: list[list[Dated]]
    before: date
    after: date

    @property
    def days(self) -> list[WorkDay]:
        """Return the work days of the month itself, by date."""
        return [day for week in self.weeks for dated in week if dated.is_in_month for day in dated.days]


def month_shown(here: Here, first: date) -> MonthShown:
    """Return a month with its work days, weeks from Sunday; one statement."""
    first = first if FIRST_YEAR <= first.year <= LAST_YEAR else here.today.replace(day=1)
    weeks = Calendar(firstweekday=6).monthdatescalendar(first.year, first.month)
    found: dict[date, list[WorkDay]] = {}
    listed = days_listed(here).filter(on_date__gte=weeks[0][0], on_date__lte=weeks[-1][-1])
    for day in listed.order_by("on_date", "starts_at", "id"):
        found.setdefault(day.on_date, []).append(day)
    dated = [[Dated(on, on.month == first.month, on == here.today, found.get(on, [])) for on in week] for week in weeks]
    return MonthShown(
        first, dated, (first - timedelta(days=1)).replace(day=1), (first + timedelta(days=31)).replace(day=1)
    )
