"""What may be sent about the weather during a session."""

from typing import Annotated, Any

from msgspec import Meta

from stewardship.journal.contents import instant
from stewardship.journal.fields import Closed, Moment, Speed, Temperature
from stewardship.workdays.fields.points import Coordinates
from stewardship.workdays.fields.weather import Percent, Sky, WindDirection

__all__ = ["Coordinates", "Reading", "Weather"]


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


Weather = Annotated[list[Reading], Meta(max_length=50)]
