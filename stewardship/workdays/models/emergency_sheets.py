"""What is needed when something happens on a property, on one sheet."""

from django.db import models

from stewardship.journal.models import Record
from stewardship.places.models import Property


class EmergencySheet(Record):
    """The emergency sheet of a property: where an ambulance goes, whom to call, which hospital. The group reads it."""

    kind = "emergency_sheet"

    property = models.ForeignKey(Property, models.PROTECT, related_name="+", db_index=False)
    address = models.TextField("to tell an ambulance")
    access = models.TextField("gates, keys, the way in", blank=True)
    latitude = models.CharField("WGS 84, degrees as decimal text", max_length=20, blank=True)
    longitude = models.CharField(max_length=20, blank=True)
    meeting_point = models.TextField("where an ambulance is met", blank=True)
    phone_coverage = models.TextField("where a telephone works", blank=True)
    hospital = models.CharField(max_length=200)
    hospital_address = models.TextField(blank=True)
    hospital_phone = models.CharField(max_length=60, blank=True)
    hospital_distance = models.CharField("how far, in words", max_length=100, blank=True)
    contacts = models.JSONField("name, phone and what for, of each", default=list)
    utilities = models.TextField("lines and pipes on the land, and whom to call", blank=True)
    note = models.TextField(blank=True)

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["group", "property"], name="a_property_has_one_emergency_sheet"),
        ]

    def __str__(self) -> str:
        return f"emergency sheet of {self.property_id}"
