"""Work days that come back."""

from api import filtering
from api.records import GroupRecords
from stewardship.workdays.models import WorkDaySeries


class WorkDaySeriesFilters(filtering.Filters):
    """By property, title, first day and whether it was ended."""

    property = filtering.Id(field_name="property_id")
    title = filtering.Text(lookup_expr="icontains")
    from_date = filtering.Day(field_name="first_on", lookup_expr="gte")
    ended = filtering.Flag(field_name="ends_on", lookup_expr="isnull", exclude=True)


class SeriesOfWorkDays(GroupRecords):
    """Rules by which work days come back (RFC 5545), and what each of them looks like; their days are work days."""

    at = "work-day-series"
    model = WorkDaySeries
    filterset_class = WorkDaySeriesFilters
