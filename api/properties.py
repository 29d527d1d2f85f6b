"""Properties in the group's care."""

from api import filtering
from api.records import GroupRecords
from stewardship.places.models import Property


class PropertyFilters(filtering.Filters):
    """By a part of the name."""

    name = filtering.Text(lookup_expr="icontains")


class Properties(GroupRecords):
    """Land in the group's care, with its boundary and geodesic area."""

    at = "properties"
    model = Property
    filterset_class = PropertyFilters
