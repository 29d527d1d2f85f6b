"""Duties on work days."""

from api import filtering
from api.records import Below, GroupRecords
from stewardship.workdays.models import Duty, DutyName, WorkDay


class DutyFilters(filtering.Filters):
    """By work day and name."""

    work_day = filtering.Id(field_name="work_day_id")
    name = filtering.Choice(words=DutyName.values)


class Duties(GroupRecords):
    """The jobs on a work day and how many people are wanted for each."""

    at = "duties"
    model = Duty
    filterset_class = DutyFilters
    below = Below("work-days", WorkDay, "work_day")
