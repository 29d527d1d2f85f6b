"""What may be sent about the emergency sheet of a property."""

from typing import Annotated, Any
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.journal.fields import Amend, Closed, Name, New, Ref, Text
from stewardship.places.models import Property
from stewardship.workdays.fields.points import Coordinates

Phone = Annotated[str, Meta(max_length=60)]
Number = Annotated[str, Meta(min_length=3, max_length=60, pattern=r"\d")]
Line = Annotated[str, Meta(max_length=100)]
Told = Annotated[str, Meta(min_length=1, max_length=4000, pattern=r"\S")]


class Contact(Closed, frozen=True):
    """Somebody to call about this place."""

    name: Name
    phone: Number
    what_for: Line = ""

    def told(self) -> dict[str, str]:
        """Return it as it is kept."""
        return {"name": self.name, "phone": self.phone, "what_for": self.what_for}


Contacts = Annotated[list[Contact], Meta(max_length=12)]


class NewEmergencySheet(New, frozen=True):
    """The emergency sheet of a property."""

    property: Annotated[UUID, Ref(Property, lock=True)]
    address: Told
    hospital: Name
    access: Text = ""
    coordinates: Coordinates | None = None
    meeting_point: Text = ""
    phone_coverage: Text = ""
    hospital_address: Text = ""
    hospital_phone: Phone = ""
    hospital_distance: Line = ""
    contacts: Contacts = []
    utilities: Text = ""
    note: Text = ""


class AmendEmergencySheet(Amend, frozen=True):
    """A correction of an emergency sheet."""

    address: Told | UnsetType = UNSET
    hospital: Name | UnsetType = UNSET
    access: Text | UnsetType = UNSET
    coordinates: Coordinates | None | UnsetType = UNSET
    meeting_point: Text | UnsetType = UNSET
    phone_coverage: Text | UnsetType = UNSET
    hospital_address: Text | UnsetType = UNSET
    hospital_phone: Phone | UnsetType = UNSET
    hospital_distance: Line | UnsetType = UNSET
    contacts: Contacts | UnsetType = UNSET
    utilities: Text | UnsetType = UNSET
    note: Text | UnsetType = UNSET


def kept(values: dict[str, Any]) -> dict[str, Any]:
    """Return sent values as columns: contacts as JSON, the point as two texts."""
    values = dict(values)
    if "contacts" in values:
        values["contacts"] = [each.told() for each in values["contacts"]]
    if "coordinates" in values:
        point = values.pop("coordinates")
        values |= point.told() if point else {"latitude": "", "longitude": ""}
    return values
