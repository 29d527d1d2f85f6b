"""The people of the group, for whoever manages them: a list, and one person on one page."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse

from stewardship.accounts.models import Member
from stewardship.web.access import Here, page, show
from stewardship.web.queries.people import people_listed


@page("manage_members")
def people(request: HttpRequest, here: Here) -> HttpResponse:
    """List the members with role and state, those who left below."""
    return show(request, "people", listed=people_listed(here))


@page("manage_members")
def person(request: HttpRequest, here: Here, member_id: UUID) -> HttpResponse:
    """Show one member."""
    return show(request, "person", member=member_of(here, member_id))


def member_of(here: Here, member_id: UUID) -> Member:
    """Return the group's member, present or former; another group's does not exist here."""
    found = Member.objects.select_related("person").filter(group_id=here.group.id, id=member_id).first()
    if found is None:
        raise Http404
    return found
