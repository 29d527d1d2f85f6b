"""Approved tasks."""

from api import filtering
from api.records import GroupRecords
from stewardship.workdays.models import ApprovedTask


class ApprovedTaskFilters(filtering.Filters):
    """By property, title, season, whether with herbicide and whether withdrawn."""

    property = filtering.Id(field_name="property_id")
    title = filtering.Text(lookup_expr="icontains")
    from_date = filtering.Day(field_name="from_on", lookup_expr="gte")
    to_date = filtering.Day(field_name="to_on", lookup_expr="lte")
    herbicide = filtering.Flag()
    withdrawn = filtering.Flag(field_name="withdrawn_at", lookup_expr="isnull", exclude=True)


class ApprovedTasks(GroupRecords):
    """What may be planned for a property, by whose word: for which units, species, methods and season."""

    at = "approved-tasks"
    model = ApprovedTask
    filterset_class = ApprovedTaskFilters
