"""Who came to a work day, and for how long."""

from api import filtering
from api.records import GroupRecords
from stewardship.workdays.models import AgeClass, Attendance


class AttendanceFilters(filtering.Filters):
    """By work day, member, age class, and whether it has no check-out or was voided."""

    work_day = filtering.Id(field_name="work_day_id")
    member = filtering.Id(field_name="member_id")
    age_class = filtering.Choice(words=AgeClass.values)
    without_check_out = filtering.Flag(field_name="out_at", lookup_expr="isnull")
    voided = filtering.Flag(field_name="voided_at", lookup_expr="isnull", exclude=True)


class Attendances(GroupRecords):
    """Check-ins and check-outs: POST checks in; hours without a check-out are unknown."""

    at = "attendances"
    model = Attendance
    filterset_class = AttendanceFilters
