"""What may be sent about a point on the Earth."""

from typing import Annotated

from msgspec import Meta

from stewardship.journal.fields import Closed
from stewardship.rules.decimals import parse_decimal
from stewardship.rules.refusals import RuleViolation

Degrees = Annotated[str, Meta(max_length=20)]
MOST_LATITUDE, MOST_LONGITUDE = 90, 180


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
