"""What may be sent about calendar addresses."""

from typing import Literal

from stewardship.journal.fields import Closed

ScopeName = Literal["own", "group"]


class NewCalendarFeed(Closed, frozen=True):
    """A private address for a calendar: of the days that one signed up for, or of all of the group."""

    scope: ScopeName = "own"
