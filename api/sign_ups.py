"""Sign-ups for duties."""

from api import filtering
from api.records import GroupRecords
from stewardship.workdays.models import SignUp


class SignUpFilters(filtering.Filters):
    """By work day, duty, member whether it waits for a place and whether it was withdrawn."""

    work_day = filtering.Id(field_name="work_day_id")
    duty = filtering.Id(field_name="duty_id")
    member = filtering.Id(field_name="member_id")
    waiting = filtering.Flag(field_name="is_waiting")
    withdrawn = filtering.Flag(field_name="withdrawn_at", lookup_expr="isnull", exclude=True)


class SignUps(GroupRecords):
    """Members' word to do a duty, or to wait for a place on it; it is withdrawn, never deleted."""

    at = "sign-ups"
    model = SignUp
    filterset_class = SignUpFilters
