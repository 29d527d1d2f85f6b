"""Who is asking, and where they belong."""

from typing import Any

from rest_framework.response import Response

from api.filtering import check_parameters
from api.operations import ID, TEXT, Does, a_list, an_object, or_null
from api.permissions import Endpoint
from stewardship.accounts.models import Group, Member
from stewardship.accounts.queries import actor_of, memberships

_GROUP = ("name", "time_zone", "volume_unit", "mass_unit", "area_unit")
_MEMBERSHIP = an_object(
    {
        "group": an_object({"id": ID} | dict.fromkeys(_GROUP, TEXT)),
        "member": ID,
        "display_name": TEXT,
        "role": TEXT,
        "may": a_list(TEXT),
    }
)
_ME = an_object(
    {"person": an_object({"id": ID, "email": or_null(TEXT)}), "memberships": a_list(_MEMBERSHIP)},
)


class Me(Endpoint):
    """The person behind the token or session."""

    does = {"get": Does("Tell who is asking", _ME)}

    def get(self, request: Any) -> Response:
        """Return the person and what they may do in each of their groups."""
        check_parameters(request)
        person = request.user
        belongs = [_membership(member) for member in memberships(person.id)]
        return Response({"person": {"id": str(person.id), "email": person.email}, "memberships": belongs})


def _membership(member: Member) -> dict[str, Any]:
    return {
        "group": _group(member.group),
        "member": str(member.id),
        "display_name": member.display_name,
        "role": member.role,
        "may": actor_of(member).capabilities(),
    }


def _group(group: Group) -> dict[str, str]:
    return {"id": str(group.id)} | {name: getattr(group, name) for name in _GROUP}
