"""What an inspector asks for first: permissions of landowners, permits of authorities, notices to neighbours."""

from api import filtering
from api.records import Below, GroupRecords
from stewardship.places.models import LandPermission, NeighbourNotice, Permit, PermitFor, Property


class LandPermissionFilters(filtering.Filters):
    """By property, by whether herbicide is taken in, and by what was withdrawn."""

    property = filtering.Id(field_name="property_id")
    herbicide = filtering.Flag()
    withdrawn = filtering.Flag(field_name="withdrawn_on", lookup_expr="isnull", exclude=True)


class LandPermissions(GroupRecords):
    """Written permissions of landowners, each with what it leaves out and the notice that is wanted."""

    at = "permissions"
    model = LandPermission
    filterset_class = LandPermissionFilters
    below = Below("properties", Property, "property")


class PermitFilters(filtering.Filters):
    """By property, by what it is for, by number, and by what was withdrawn."""

    property = filtering.Id(field_name="property_id")
    what = filtering.Choice(words=PermitFor.values)
    number = filtering.Text()
    withdrawn = filtering.Flag(field_name="withdrawn_on", lookup_expr="isnull", exclude=True)


class Permits(GroupRecords):
    """Permits of authorities for work in waters, in protected areas, with fire and for what else takes one."""

    at = "permits"
    model = Permit
    filterset_class = PermitFilters


class NeighbourNoticeFilters(filtering.Filters):
    """By property, by permission, by who is registered, by who was not told, and by what was voided."""

    property = filtering.Id(field_name="property_id")
    permission = filtering.Id(field_name="permission_id")
    registered = filtering.Flag()
    told = filtering.Flag(field_name="told_at", lookup_expr="isnull", exclude=True)
    voided = filtering.Flag(field_name="voided_at", lookup_expr="isnull", exclude=True)


class NeighbourNotices(GroupRecords):
    """Who is to be told before work with herbicide, and every attempt to tell them. Only coordinators read it."""

    at = "neighbour-notices"
    model = NeighbourNotice
    filterset_class = NeighbourNoticeFilters
    below = Below("properties", Property, "property")
