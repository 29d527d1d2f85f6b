"""What may be sent about sensitive areas."""

from typing import Annotated, Any, Literal
from uuid import UUID

from msgspec import UNSET, UnsetType

from stewardship.journal.fields import Amend, Citation, Name, New, Ref, Text
from stewardship.places.fields.land import NeedsPermit
from stewardship.places.models import Property
from stewardship.rules import shapes


class Geometry:
    """A GeoJSON Point, LineString, Polygon or MultiPolygon (RFC 7946) in WGS 84, at most 5,000 vertices."""

    def __init__(self, geojson: dict[str, Any]) -> None:
        self.geojson = geojson

    @classmethod
    def read(cls, value: Any) -> "Geometry":
        """Read it, or raise the refusal that says what is wrong with it."""
        return cls(shapes.canonical_shape(shapes.read_shape(value)))

    @classmethod
    def schema(cls) -> dict[str, Any]:
        """Return its JSON Schema."""
        kinds = {"type": "string", "enum": list(shapes.SHAPES)}
        properties = {"type": kinds, "coordinates": {"type": "array", "maxItems": 5000}}
        return {
            "type": "object",
            "description": cls.__doc__,
            "properties": properties,
            "required": ["type", "coordinates"],
        }

    def columns(self, name: str) -> dict[str, Any]:
        """Return the column that keeps it."""
        return {name: self.geojson}


Sensitive = Literal["water", "well", "rare_species", "neighbour", "other"]


class NewSensitiveArea(New, frozen=True):
    """Ground or water that work must spare; without a property it stands for the whole group."""

    name: Name
    what: Sensitive
    geometry: Geometry
    source: Citation
    property: Annotated[UUID, Ref(Property)] | None = None
    needs_permit: NeedsPermit = ""
    note: Text = ""


class AmendSensitiveArea(Amend, frozen=True):
    """A correction of a sensitive area; it never loses its source."""

    name: Name | UnsetType = UNSET
    what: Sensitive | UnsetType = UNSET
    geometry: Geometry | UnsetType = UNSET
    source: Citation | UnsetType = UNSET
    property: Annotated[UUID, Ref(Property)] | None | UnsetType = UNSET
    needs_permit: NeedsPermit | UnsetType = UNSET
    note: Text | UnsetType = UNSET
