"""What may be sent about the weather on a work day."""

from typing import Annotated, Literal
from uuid import UUID

from msgspec import Meta

from stewardship.journal.fields import Moment, New, Ref, Speed, Target, Temperature, Text
from stewardship.workdays.models import WorkDay

WindDirection = Literal[
    "", "n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw",
    "calm", "variable",
]  # fmt: skip
"""Where the wind comes from, by the sixteen points of the compass; empty: not told."""

Percent = Annotated[int, Meta(ge=0, le=100)]
Sky = Annotated[str, Meta(max_length=200)]
MomentsOfADay = Literal["start", "change", "end"]


class NewWeatherReading(New, frozen=True):
    """What somebody read of the weather; null is not read."""

    work_day: Annotated[UUID, Ref(WorkDay, lock=True)]
    read_at: Moment
    moment: MomentsOfADay
    wind_speed: Speed | None = None
    wind_direction: WindDirection = ""
    temperature: Temperature | None = None
    humidity_percent: Percent | None = None
    sky: Sky = ""
    rain_outlook: Sky = ""
    read_from: Sky = ""
    went_on: Text = ""


class GoOn(Target, kw_only=True, frozen=True):
    """Why work over a stored limit went on after a reading."""

    went_on: Annotated[str, Meta(min_length=1, max_length=4000, pattern=r"\S")]
