"""What may be sent about properties and units."""

from typing import Annotated, Any, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.journal.fields import Amend, Jurisdiction, Name, New, Ref, Text, ZoneName
from stewardship.places.models import Property
from stewardship.rules import geometry
from stewardship.rules.areas import area_mm2

Section = Annotated[str, Meta(max_length=200)]
MapNumber = Annotated[str, Meta(max_length=100)]
SiteType = Annotated[str, Meta(max_length=200)]
NeedsPermit = Literal["", "waters", "protected_area", "burning", "other"]
"""What a permit is for; empty where none is needed."""


class Boundary:
    """A GeoJSON Polygon or MultiPolygon (RFC 7946) in WGS 84, at most 5,000 vertices, that does not cross itself."""

    def __init__(self, geojson: dict[str, Any], area_mm2: int) -> None:
        self.geojson, self.area_mm2 = geojson, area_mm2

    @classmethod
    def read(cls, value: Any) -> "Boundary":
        """Read it, or raise the refusal that says what is wrong with it."""
        boundary = geometry.read_boundary(value)
        return cls(geometry.canonical(boundary), area_mm2(boundary))

    @classmethod
    def schema(cls) -> dict[str, Any]:
        """Return its JSON Schema."""
        kinds = {"type": "string", "enum": ["Polygon", "MultiPolygon"]}
        properties = {"type": kinds, "coordinates": {"type": "array", "maxItems": 5000}}
        return {
            "type": "object",
            "description": cls.__doc__,
            "properties": properties,
            "required": ["type", "coordinates"],
        }

    def columns(self, name: str) -> dict[str, Any]:
        """Return the columns that keep it and its area."""
        return {name: self.geojson, "area_mm2": self.area_mm2}


class NewProperty(New, frozen=True):
    """Land that comes into the group's care."""

    name: Name
    address: Text = ""
    legal_description: Text = ""
    county_section: Section = ""
    map_number: MapNumber = ""
    time_zone: ZoneName = ZoneName("")
    jurisdiction: Jurisdiction = Jurisdiction("")
    boundary: Boundary | None = None
    note: Text = ""


class AmendProperty(Amend, frozen=True):
    """A correction of a property."""

    name: Name | UnsetType = UNSET
    address: Text | UnsetType = UNSET
    legal_description: Text | UnsetType = UNSET
    county_section: Section | UnsetType = UNSET
    map_number: MapNumber | UnsetType = UNSET
    time_zone: ZoneName | UnsetType = UNSET
    jurisdiction: Jurisdiction | UnsetType = UNSET
    boundary: Boundary | None | UnsetType = UNSET
    note: Text | UnsetType = UNSET


class NewUnit(New, frozen=True):
    """A management unit of a property."""

    property: Annotated[UUID, Ref(Property)]
    name: Name
    boundary: Boundary | None = None
    site_type: SiteType = ""
    needs_permit: NeedsPermit = ""
    note: Text = ""


class AmendUnit(Amend, frozen=True):
    """A correction of a unit; it stays with its property."""

    name: Name | UnsetType = UNSET
    boundary: Boundary | None | UnsetType = UNSET
    site_type: SiteType | UnsetType = UNSET
    needs_permit: NeedsPermit | UnsetType = UNSET
    note: Text | UnsetType = UNSET
