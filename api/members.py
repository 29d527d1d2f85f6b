"""Members of a group."""

from api import filtering
from api.records import GroupRecords
from stewardship.accounts.models import Member, Role


class MemberFilters(filtering.Filters):
    """By role, person, whether the membership has ended and whether it is suspended."""

    role = filtering.Choice(words=Role.values)
    person = filtering.Id(field_name="person_id")
    ended = filtering.Flag(field_name="ended_at", lookup_expr="isnull", exclude=True)
    suspended = filtering.Flag(field_name="suspended_at", lookup_expr="isnull", exclude=True)


class Members(GroupRecords):
    """Who belongs to the group, in which role; a membership ends, it is never deleted."""

    at = "members"
    model = Member
    filterset_class = MemberFilters
