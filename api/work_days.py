"""Work days."""

from api import filtering
from api.records import GroupRecords
from stewardship.workdays.models import WorkDay
from stewardship.workdays.states import State


class WorkDayFilters(filtering.Filters):
    """By property, series, approved task, state, date and whether herbicide is planned."""

    series = filtering.Id(field_name="series_id")
    task = filtering.Id(field_name="task_id")
    property = filtering.Id(field_name="property_id")
    state = filtering.Choice(words=State.values)
    on_date = filtering.Day()
    from_date = filtering.Day(field_name="on_date", lookup_expr="gte")
    to_date = filtering.Day(field_name="on_date", lookup_expr="lte")
    herbicide_planned = filtering.Flag()


class WorkDays(GroupRecords):
    """Days on which people work on a property; each is refused what it is not ready for, with every reason."""

    at = "work-days"
    model = WorkDay
    filterset_class = WorkDayFilters
