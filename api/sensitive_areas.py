"""Sensitive areas: water, wells, rare species and what else work must spare."""

from api import filtering
from api.records import GroupRecords
from stewardship.places.models import SensitiveArea


class SensitiveAreaFilters(filtering.Filters):
    """By property, by what is to be spared, and by what is out of use."""

    property = filtering.Id(field_name="property_id")
    what = filtering.Choice(words=SensitiveArea.What.values)
    retired = filtering.Flag(field_name="retired_at", lookup_expr="isnull", exclude=True)


class SensitiveAreas(GroupRecords):
    """Ground and water that work must spare, each with its source. A mark or a gate says when work comes near one."""

    at = "sensitive-areas"
    model = SensitiveArea
    filterset_class = SensitiveAreaFilters
