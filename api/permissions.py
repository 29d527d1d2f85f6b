"""Whose group it is: resolved once for each request, from the address."""

import re
from typing import Any, ClassVar, TypeVar
from uuid import UUID

from django.db.models import Model, QuerySet
from rest_framework.permissions import BasePermission
from rest_framework.views import APIView

from api.operations import Does
from stewardship.accounts import queries
from stewardship.errors import NotPermitted, Unavailable

R = TypeVar("R", bound=Model)

NO_LONGER = "You are no longer a member of this group."
SUSPENDED = "Your membership of this group is suspended. Ask one of its coordinators."

_ID = re.compile(r"[0-9a-fA-F]{8}(-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}")


def read_id(text: str) -> UUID:
    """Return the id in an address; one that is malformed is answered like one that is unknown."""
    if not _ID.fullmatch(text):
        raise Unavailable
    return UUID(text)


class InGroup(BasePermission):
    """A member of the group in the address; it becomes ``request.actor`` and ``request.group``."""

    def has_permission(self, request: Any, view: Any) -> bool:
        """Resolve the membership. Raises Unavailable for who never was a member, NotPermitted for who no longer is."""
        if not request.user.is_authenticated:
            return False
        member = queries.membership(request.user.id, read_id(view.kwargs["group"]))
        if member is None:
            raise Unavailable
        request.actor, request.group = queries.actor_of(member), member.group
        if request.actor.is_former and not view.is_open_to_former:
            raise NotPermitted(SUSPENDED if member.suspended_at and not member.ended_at else NO_LONGER)
        return True


class Endpoint(APIView):
    """A view whose answers are for the one who asked, and are kept by nobody on the way."""

    does: ClassVar[dict[str, Does]] = {}
    """Method -> what it takes and gives, for the OpenAPI document."""

    def describe(self, method: str) -> Does:
        """Return what a method takes and gives."""
        return self.does[method]

    def finalize_response(self, request: Any, response: Any, *args: Any, **kwargs: Any) -> Any:
        """Forbid storing."""
        response = super().finalize_response(request, response, *args, **kwargs)
        response.headers.setdefault("Cache-Control", "no-store")
        return response


class GroupEndpoint(Endpoint):
    """A view under ``groups/{group}/``, for its members."""

    permission_classes = [InGroup]
    is_open_to_former = False

    def one(self, rows: QuerySet[R], id: str) -> R:
        """Return the one of these rows that has this id and is the group's. Raises Unavailable."""
        found = rows.filter(group_id=self.request.actor.group_id, id=read_id(id)).first()
        if found is None:
            raise Unavailable
        return found
