"""What may be sent about the weather during a session, and where it was."""

from typing import Annotated, Any, Literal

from msgspec import Meta

from stewardship.journal.contents import instant
from stewardship.journal.fields import Closed, Moment, Speed, Temperature
from stewardship.rules.decimals import parse_decimal
from stewardship.rules.refusals import RuleViolation

WindDirection = Literal[
    "", "n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw",
    "calm", "variable",
]  # fmt: skip
"""Where the wind comes from, by the sixteen points of the compass; empty: not told."""

Percent = Annotated[int, Meta(ge=0, le=100)]
Sky = Annotated[str, Meta(max_length=200)]
Degrees = Annotated[str, Meta(max_length=20)]
MOST_LATITUDE, MOST_LONGITUDE = 90, 180


class Reading(Closed, frozen=True):
    """The weather at one moment: at the start, and again at each significant change; null is not read."""

    at: Moment
    wind_speed: Speed | None = None
    wind_direction: WindDirection = ""
    temperature: Temperature | None = None
    humidity_percent: Percent | None = None
    sky: Sky = ""

    def told(self) -> dict[str, Any]:
        """Return the reading as it is kept."""
        return {
            "at": instant(self.at),
            "wind_speed": self.wind_speed and self.wind_speed.told(),
            "wind_direction": self.wind_direction,
            "temperature": self.temperature and self.temperature.told(),
            "humidity_percent": self.humidity_percent,
            "sky": self.sky,
        }


class Coordinates(Closed, frozen=True):
    """A point in WGS 84: degrees as decimal text, south and west negative."""

    latitude: Degrees
    longitude: Degrees

    def __post_init__(self) -> None:
        """Refuse what is no point on the Earth."""
        try:
            latitude, longitude = (
                parse_decimal(text, may_be_negative=True) for text in (self.latitude, self.longitude)
            )
        except RuleViolation as refusal:
            raise ValueError(str(refusal)) from refusal
        if abs(latitude) > MOST_LATITUDE or abs(longitude) > MOST_LONGITUDE:
            raise ValueError("A latitude goes from -90 to 90 degrees, a longitude from -180 to 180.")

    def told(self) -> dict[str, str]:
        """Return the point as it is kept."""
        return {"latitude": self.latitude, "longitude": self.longitude}


Weather = Annotated[list[Reading], Meta(max_length=50)]
