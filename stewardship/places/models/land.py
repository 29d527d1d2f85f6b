"""Property and management unit, each with its boundary and geodesic area."""

from django.db import models

from stewardship.journal.models import Record


class PermitFor(models.TextChoices):
    """What a permit is for."""

    WATERS = "waters", "work in or over waters"
    PROTECTED_AREA = "protected_area", "work in a protected area"
    BURNING = "burning", "burning"
    OTHER = "other", "other work"


class Place(Record):
    """Land with a name and, where it is mapped, a boundary and its area."""

    name = models.CharField(max_length=200)
    boundary = models.JSONField("GeoJSON geometry, coordinates as decimal text", null=True)
    area_mm2 = models.BigIntegerField("geodesic area within the boundary [mm²]", null=True)
    note = models.TextField(blank=True)

    class Meta(Record.Meta):
        abstract = True

    def __str__(self) -> str:
        return self.name


class Property(Place):
    """Land in the group's care, with one owner and one address."""

    kind = "property"

    address = models.TextField(blank=True)
    legal_description = models.TextField("as the deed words it", blank=True)
    county_section = models.CharField("county, range, township and section", max_length=200, blank=True)
    map_number = models.CharField("number on a map of the authority's", max_length=100, blank=True)
    time_zone = models.CharField("IANA time zone, if not the group's", max_length=60, blank=True)
    jurisdiction = models.CharField("ISO 3166 code, if not the group's", max_length=6, blank=True)


class Unit(Place):
    """A management unit: the part of a property that work is planned and recorded for."""

    kind = "unit"
    derived = frozenset({"used_in_years", "used_on"})

    used_in_years = models.JSONField("the area-year ledger: year -> cells, as in rules.area_years", default=dict)
    used_on = models.JSONField("product -> date -> how many lines used it here then", default=dict)
    property = models.ForeignKey(Property, models.PROTECT, related_name="units", db_index=False)
    site_type = models.CharField("what kind of place it is, where a session does not say", max_length=200, blank=True)
    needs_permit = models.CharField(
        "herbicide here takes a permit for it", max_length=20, choices=PermitFor, blank=True
    )

    class Meta(Record.Meta):
        indexes = [
            *Record.Meta.indexes,
            models.Index(fields=["group", "property"], name="units_of_a_property"),
        ]
