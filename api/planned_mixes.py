"""Mixes that are planned for a unit: refused over a stored limit, unless a coordinator overrides it with a reason."""

from api import filtering
from api.records import GroupRecords
from stewardship.treatments.models import PlannedMix


class PlannedMixFilters(filtering.Filters):
    """By unit, property, work day, date and by how far it has come."""

    unit = filtering.Id(field_name="unit_id")
    property = filtering.Id(field_name="property_id")
    work_day = filtering.Id(field_name="work_day_id")
    planned_on = filtering.Day()
    from_date = filtering.Day(field_name="planned_on", lookup_expr="gte")
    to_date = filtering.Day(field_name="planned_on", lookup_expr="lte")
    state = filtering.Choice(words=PlannedMix.State.values)


class PlannedMixes(GroupRecords):
    """Mixes planned for a unit. An open one counts towards the unit's ceilings until it is done or cancelled."""

    at = "planned-mixes"
    model = PlannedMix
    filterset_class = PlannedMixFilters
