"""Sensitive areas: what work must spare."""

from django.db import models

from stewardship.journal.models import Record
from stewardship.places.models.land import PermitFor, Property


class SensitiveArea(Record):
    """Ground or water that work must spare: in a property, or somewhere near, whoever owns it."""

    kind = "sensitive_area"

    class What(models.TextChoices):
        """What is to be spared there."""

        WATER = "water"
        WELL = "well"
        RARE_SPECIES = "rare_species"
        NEIGHBOUR = "neighbour"
        OTHER = "other"

    name = models.CharField(max_length=200)
    what = models.CharField(max_length=20, choices=What)
    property = models.ForeignKey(Property, models.PROTECT, null=True, related_name="+", db_index=False)
    geometry = models.JSONField("GeoJSON point, line or polygon, coordinates as decimal text")
    needs_permit = models.CharField(
        "herbicide near it takes a permit for it", max_length=20, choices=PermitFor, blank=True
    )
    note = models.TextField(blank=True)
    source = models.TextField("who says so")
    retired_at = models.DateTimeField("since when it is out of use", null=True)

    class Meta(Record.Meta):
        constraints = [models.CheckConstraint(name="a_sensitive_area_names_its_source", condition=~models.Q(source=""))]

    def __str__(self) -> str:
        return self.name
