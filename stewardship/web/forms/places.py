"""A property is taken into the group's care, a management unit laid out in it."""

from typing import Any
from uuid import UUID

from stewardship.sync.reading import Sent
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm


class PropertyForm(ActForm):
    """Land with one owner and one address."""

    name = base.text("Name", required=True, max_length=200, help_text="As people call it.")
    address = base.text("Address", rows=2, max_length=4000, help_text="So that help finds it: road, place, entrance.")
    note = base.text("Note", rows=2, max_length=4000)

    def sends(self) -> list[Sent]:
        """Return the new property."""
        told = {name: self.cleaned_data[name] for name in ("name", "address", "note")}
        return [self.sent("property", "create", new=self.made(), **told)]


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
