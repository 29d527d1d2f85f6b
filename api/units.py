"""Management units of properties."""

from api import filtering
from api.records import Below, GroupRecords
from stewardship.places.models import Property, Unit


class UnitFilters(filtering.Filters):
    """By property and by a part of the name."""

    property = filtering.Id(field_name="property_id")
    name = filtering.Text(lookup_expr="icontains")


class Units(GroupRecords):
    """The parts of a property that work is planned and recorded for."""

    at = "units"
    model = Unit
    filterset_class = UnitFilters
    below = Below("properties", Property, "property")
