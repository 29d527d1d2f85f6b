"""Credentials of members: one's own; a coordinator sees all, and who is covered on a date."""

from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from rest_framework.response import Response

from api import filtering
from api.operations import ID, TEXT, Does, a_list, an_object, in_query, or_null
from api.permissions import GroupEndpoint
from api.records import GroupRecords
from stewardship.credentials.models import Covers, Credential
from stewardship.credentials.queries import coverage
from stewardship.credentials.standing import Standing
from stewardship.errors import NotPermitted

_DAY = {"type": "string", "format": "date"}
_STANDING = an_object(
    {
        "covers": TEXT,
        "status": TEXT,
        "counts": {"type": "boolean"},
        "credential": or_null(ID),
        "expires_on": or_null(_DAY),
        "lacks": a_list(an_object({"code": TEXT, "detail": TEXT})),
    },  # fmt: skip
)
_MEMBER = an_object({"member": ID, "display_name": TEXT, "standings": a_list(_STANDING)})


class CredentialFilters(filtering.Filters):
    """By holder, by type, by what it is for and by its last day."""

    holder = filtering.Id(field_name="holder_id")
    type = filtering.Id(field_name="type_id")
    covers = filtering.Choice(words=Covers.values)
    expires_before = filtering.Day(field_name="expires_on", lookup_expr="lt")
    voided = filtering.Flag(field_name="voided_at", lookup_expr="isnull", exclude=True)


class Credentials(GroupRecords):
    """Licences, certificates, trainings and cards; a mistaken entry is voided, never deleted."""

    at = "credentials"
    model = Credential
    filterset_class = CredentialFilters


class Coverage(GroupEndpoint):
    """What each member's credentials are worth on a date."""

    does = {
        "get": Does(
            "Tell each member's standing on a date",
            an_object({"on": _DAY, "results": a_list(_MEMBER)}),
            parameters=[in_query("on", _DAY, "The local date of the work.") | {"required": True}],
        )
    }

    def get(self, request: Any, **place: str) -> Response:
        """Return every present member with a standing for each thing that credentials are for."""
        if not request.actor.may("manage_credentials"):
            raise NotPermitted
        on = _day(request)
        found = coverage(request.actor.group_id, on)
        members = [
            {"member": str(m.id), "display_name": m.display_name, "standings": [_told(s) for s in standings]}
            for m, standings in found
        ]
        return Response({"on": on.isoformat(), "results": members})


def _day(request: Any) -> date:
    """Return the date that is asked for. Raises FilterUnknown, FilterInvalid."""
    filtering.check_parameters(request, "on")
    try:
        day: date = filtering.Day(required=True).field.clean(request.query_params.get("on"))
    except ValidationError as error:
        problem = {"pointer": "/on", "code": filtering.FilterInvalid.code, "detail": error.messages[0]}
        raise filtering.FilterInvalid(errors=[problem]) from None
    return day


def _told(found: Standing) -> dict[str, Any]:
    credential = found.credential
    last_on = credential.expires_on if credential else None
    return {
        "covers": found.covers,
        "status": found.status,
        "counts": found.counts,
        "credential": str(credential.id) if credential else None,
        "expires_on": last_on.isoformat() if last_on else None,
        "lacks": [{"code": lack.code, "detail": lack.detail} for lack in found.lacks],
    }
