"""A property is taken into the group's care and corrected, a management unit laid out in it."""

import json
from typing import Any
from uuid import UUID

from django import forms

from stewardship.places.models import PermitFor, Property, Unit
from stewardship.sync.reading import Sent
from stewardship.web import words
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm
from stewardship.web.queries.beginning import states

MOST_BYTES = 1024 * 1024
OF_PROPERTIES = (
    "name",
    "address",
    "county_section",
    "legal_description",
    "map_number",
    "time_zone",
    "jurisdiction",
    "note",
)


class PropertyForm(ActForm):
    """Land with one owner and one address."""

    name = base.text("Name", required=True, max_length=200, help_text="As people call it.")
    address = base.text("Address", rows=2, max_length=4000, help_text="So that help finds it: road, place, entrance.")
    note = base.text("Note", rows=2, max_length=4000)

    def sends(self) -> list[Sent]:
        """Return the new property."""
        told = {name: self.cleaned_data[name] for name in ("name", "address", "note")}
        return [self.sent("property", "create", new=self.made(), **told)]


class BoundaryForm(ActForm):
    """A place whose boundary may be given as a GeoJSON file."""

    boundary_file = forms.FileField(
        label="Boundary",
        required=False,
        help_text="A GeoJSON file with one area. Empty: the boundary stays as it is.",
    )
    places = {"boundary": "boundary_file"}

    def clean_boundary_file(self) -> dict[str, Any] | None:
        """Return the geometry in the file: its own, that of a feature or of the only feature in a collection."""
        file = self.cleaned_data["boundary_file"]
        if file is None:
            return None
        if file.size > MOST_BYTES:
            raise forms.ValidationError("This file is larger than 1 MiB. Leave out what is not the boundary.")
        try:
            told = json.loads(file.read().decode("utf-8-sig"))
        except (UnicodeDecodeError, ValueError, RecursionError):
            raise forms.ValidationError("This file cannot be read as GeoJSON. Save the boundary as GeoJSON.") from None
        return _geometry(told)

    def boundary(self) -> dict[str, Any]:
        """Return the field that is sent; none where no file was given."""
        found = self.cleaned_data["boundary_file"]
        return {"boundary": found} if found else {}


class EditPropertyForm(BoundaryForm):
    """A correction of a property."""

    name = base.text("Name", required=True, max_length=200)
    address = base.text("Address", rows=2, max_length=4000, help_text="So that help finds it: road, place, entrance.")
    county_section = base.text("County, range, township and section", max_length=200)
    legal_description = base.text("Legal description, as the deed words it", rows=3, max_length=4000)
    map_number = base.text("Number on a map of the authority", max_length=100)
    jurisdiction = base.choice("State, if not that of the group", required=False)
    time_zone = base.text("Time zone, if not that of the group", max_length=60, help_text="Such as America/Chicago.")
    note = base.text("Note", rows=2, max_length=4000)
    field_order = ("mid", *OF_PROPERTIES, "boundary_file")

    def __init__(self, *args: Any, property: Property, **kwargs: Any) -> None:
        """Correct ``property``."""
        self.property = property
        super().__init__(*args, initial={name: getattr(property, name) for name in OF_PROPERTIES}, **kwargs)

    def fill(self) -> None:
        """Offer the states whose rules are on record, and the one that it has."""
        known = sorted({*states(self.here), self.property.jurisdiction} - {""})
        told = [("", f"that of the group ({self.here.group.jurisdiction or 'none'})")]
        self.fields["jurisdiction"].choices = told + [(code, words.jurisdiction(code)) for code in known]

    def sends(self) -> list[Sent]:
        """Return the correction."""
        told = {name: self.cleaned_data[name] for name in OF_PROPERTIES}
        return [self.sent("property", "amend", id=self.property.id, **told, **self.boundary())]


class UnitForm(ActForm):
    """A part of a property that work is planned and recorded for."""

    name = base.text("Name of the unit", required=True, max_length=200, help_text="Such as: North edge")
    note = base.text("Note", rows=2, max_length=4000)

    def __init__(self, *args: Any, property_id: UUID, **kwargs: Any) -> None:
        """Ask about a unit of this property."""
        self.property_id = property_id
        super().__init__(*args, **kwargs)

    def sends(self) -> list[Sent]:
        """Return the new unit."""
        told = {name: self.cleaned_data[name] for name in ("name", "note")}
        return [self.sent("unit", "create", new=self.made(), property=self.property_id, **told)]


class EditUnitForm(BoundaryForm):
    """A correction of a unit."""

    name = base.text("Name of the unit", required=True, max_length=200)
    site_type = base.text("Kind of site", max_length=200, help_text="As labels name it, such as pasture.")
    needs_permit = base.choice(
        "Herbicide here takes a permit for", [("", "nothing"), *PermitFor.choices], required=False
    )
    note = base.text("Note", rows=2, max_length=4000)
    field_order = ("mid", "name", "site_type", "needs_permit", "note", "boundary_file")

    def __init__(self, *args: Any, unit: Unit, **kwargs: Any) -> None:
        """Correct ``unit``."""
        self.unit = unit
        told = {name: getattr(unit, name) for name in ("name", "site_type", "needs_permit", "note")}
        super().__init__(*args, initial=told, **kwargs)

    def sends(self) -> list[Sent]:
        """Return the correction."""
        told = {name: self.cleaned_data[name] for name in ("name", "site_type", "needs_permit", "note")}
        return [self.sent("unit", "amend", id=self.unit.id, **told, **self.boundary())]


def _geometry(told: Any) -> dict[str, Any]:
    features = told.get("features") if isinstance(told, dict) else None
    if isinstance(features, list):
        if len(features) != 1:
            raise forms.ValidationError("This file holds several areas, or none. Save the one boundary by itself.")
        told = features[0]
    found = told.get("geometry", told) if isinstance(told, dict) else None
    if not isinstance(found, dict):
        raise forms.ValidationError("This file holds no area. Save the boundary as a GeoJSON polygon.")
    return {name: found[name] for name in ("type", "coordinates") if name in found}
