"""Whether the books of the group balance: asked for, and what was found last."""

from typing import Any

from django.utils import timezone
from rest_framework.response import Response

from api.filtering import check_parameters
from api.jobs import STATE
from api.operations import ID, INTEGER, MOMENT, TEXT, Does, a_list, an_object, or_null
from api.permissions import GroupEndpoint
from api.writing import fields_of
from stewardship.errors import NotPermitted, Unavailable
from stewardship.journal.contents import instant
from stewardship.journal.fields import Closed
from stewardship.reports.services import reconciliations
from stewardship.sync.reading import read_fields

_BEHIND = an_object({"what": TEXT, "type": TEXT, "id": ID, "nl": INTEGER, "entered_by": ID})
_FINDING = an_object(
    {
        "code": TEXT, "type": TEXT, "id": ID, "on_date": or_null({"type": "string", "format": "date"}),
        "by_nl": or_null(INTEGER) | {"description": "By how much [nL]: above nothing is missing, below is over."},
        "by_ug": or_null(INTEGER) | {"description": "The same of a dry product [µg], where that is what is off."},
        "unit": TEXT, "detail": TEXT, "behind": a_list(_BEHIND), "more_behind": INTEGER,
    }
)  # fmt: skip
_UNKNOWN = an_object(
    {
        "id": ID, "volume_nl": INTEGER, "unit": TEXT, "found_on": {"type": "string", "format": "date"}, "end": TEXT,
        "beside": a_list(ID) | {"description": "Batches that lack about as much: beside it, never linked."},
    }
)  # fmt: skip
_FOUND = an_object(
    {
        "job": ID, "finished_at": MOMENT, "head": INTEGER, "held": INTEGER, "findings": a_list(_FINDING),
        "unknown_containers": a_list(_UNKNOWN), "batches": INTEGER, "lines": INTEGER, "lots": INTEGER,
        "units": INTEGER, "parts_without_lot": INTEGER,
    }
)  # fmt: skip


class AskToReconcile(Closed, frozen=True):
    """Nothing is sent with it."""


class Reconciliations(GroupEndpoint):
    """Hold stock, batches, lines and ledgers against one another; a job does the work."""

    does = {"post": Does("Ask for a reconciliation", an_object({"id": ID, "state": STATE}), AskToReconcile, 202)}

    def post(self, request: Any, **place: str) -> Response:
        """Ask for it; asked again before the book has changed, the same job answers."""
        check_parameters(request)
        read_fields(fields_of(request), AskToReconcile)
        job = reconciliations.ask_now(request.actor, timezone.now())
        return Response({"id": str(job.id), "state": job.state}, status=202)


class LatestReconciliation(GroupEndpoint):
    """What was found last, and of which number of the book that is."""

    does = {"get": Does("Read the latest reconciliation", _FOUND)}

    def get(self, request: Any, **place: str) -> Response:
        """Return the findings; before the first reconciliation there are none to read."""
        check_parameters(request)
        if not request.actor.may(reconciliations.MAY):
            raise NotPermitted
        job = reconciliations.latest(request.actor.group_id)
        if job is None:
            raise Unavailable
        assert job.finished_at
        return Response({"job": str(job.id), "finished_at": instant(job.finished_at), **job.result})
