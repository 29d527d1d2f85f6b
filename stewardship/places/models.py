"""Property and management unit, each with its boundary and geodesic area; sensitive areas."""

from django.db import models

from stewardship.journal.models import Record


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
    derived = frozenset({"used_in_years"})

    used_in_years = models.JSONField("the area-year ledger: year -> cells, as in rules.area_years", default=dict)
    property = models.ForeignKey(Property, models.PROTECT, related_name="units", db_index=False)

    class Meta(Record.Meta):
        indexes = [
            *Record.Meta.indexes,
            models.Index(fields=["group", "property"], name="units_of_a_property"),
        ]


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
    note = models.TextField(blank=True)
    source = models.TextField("who says so")
    retired_at = models.DateTimeField("since when it is out of use", null=True)

    class Meta(Record.Meta):
        constraints = [models.CheckConstraint(name="a_sensitive_area_names_its_source", condition=~models.Q(source=""))]

    def __str__(self) -> str:
        return self.name
