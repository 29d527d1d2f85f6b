"""What is asked for the emergency sheet of a property."""

from typing import Any

from stewardship.places.models import Property
from stewardship.sync.reading import Sent
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm
from stewardship.workdays.models import EmergencySheet

PLAIN = (
    "address", "access", "meeting_point", "phone_coverage", "hospital", "hospital_address", "hospital_phone",
    "hospital_distance", "utilities", "note",
)  # fmt: skip


class EmergencySheetForm(ActForm):
    """The emergency sheet of a property, written or corrected as a whole."""

    address = base.text("Address to tell an ambulance", required=True, rows=2)
    meeting_point = base.text("Where an ambulance is met", rows=2)
    access = base.text("Gates, keys, the way in", rows=2)
    latitude = base.text("Latitude, such as 40.1180", max_length=20)
    longitude = base.text("Longitude, such as -88.2470", max_length=20)
    phone_coverage = base.text("Where a telephone works", rows=2)
    hospital = base.text("Hospital", required=True, max_length=200)
    hospital_address = base.text("Its address", rows=2)
    hospital_phone = base.text("Its telephone", max_length=60)
    hospital_distance = base.text("How far it is", max_length=100, help_text="Such as: 9 miles, 15 minutes")
    contact = base.text("Whom to call about the place", max_length=200)
    contact_phone = base.text("Their telephone", max_length=60)
    contact_for = base.text("What for", max_length=100)
    utilities = base.text("Lines and pipes on the land, and whom to call", rows=2)
    note = base.text("What else to know", rows=2)
    places = {"coordinates": "latitude", "contacts": "contact"}

    def __init__(self, *args: Any, property: Property, **kwargs: Any) -> None:
        """Ask about ``property``."""
        self.property = property
        super().__init__(*args, **kwargs)

    def fill(self) -> None:
        """Fill in what stands on the sheet already."""
        group_id = self.here.group.id
        self.sheet = EmergencySheet.objects.filter(group_id=group_id, property=self.property).first()
        if self.sheet is None:
            self.initial["address"] = self.property.address
            return
        first = (self.sheet.contacts or [{"name": "", "phone": "", "what_for": ""}])[0]
        self.initial |= {name: getattr(self.sheet, name) for name in (*PLAIN, "latitude", "longitude")}
        self.initial |= {"contact": first["name"], "contact_phone": first["phone"], "contact_for": first["what_for"]}

    def clean(self) -> dict[str, Any]:
        """Refuse half of a point, and somebody to call without a number."""
        told = super().clean() or self.cleaned_data
        if bool(told.get("latitude")) != bool(told.get("longitude")):
            self.add_error("latitude", "Give both latitude and longitude, or neither.")
        if bool(told.get("contact")) != bool(told.get("contact_phone")):
            self.add_error("contact", "Give a name and a number, or neither.")
        return told

    def sends(self) -> list[Sent]:
        """Return the sheet; further people to call that stand on it stay."""
        told = self.cleaned_data
        point = {"latitude": told["latitude"], "longitude": told["longitude"]} if told["latitude"] else None
        contact = {"name": told["contact"], "phone": told["contact_phone"], "what_for": told["contact_for"]}
        further = self.sheet.contacts[1:] if self.sheet else []
        contacts = [*([contact] if told["contact"] else []), *further]
        said = {name: told[name] for name in PLAIN} | {"coordinates": point, "contacts": contacts}
        if self.sheet:
            return [self.sent("emergency_sheet", "amend", id=self.sheet.id, **said)]
        return [self.sent("emergency_sheet", "create", property=self.property.id, **said)]
