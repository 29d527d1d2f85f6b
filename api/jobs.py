"""Background jobs of the group: how far they are, and where their result stands."""

from typing import Any

from django.urls import reverse
from rest_framework.response import Response

from api.filtering import check_parameters
from api.operations import ID, MOMENT, TEXT, Does, an_object, or_null
from api.permissions import GroupEndpoint
from stewardship.jobs.models import Job, State
from stewardship.journal.contents import instant
from stewardship.reports.services import reconciliations
from stewardship.sync import proving

LATEST = {reconciliations.KIND: "reconciliations-latest", proving.KIND: "verifications-latest"}
"""Kind of job -> the route where what the latest of them found is read."""

STATE = {"type": "string", "enum": list(State.values)}
_PERCENT = {"type": "integer", "minimum": 0, "maximum": 100}
_JOB = an_object(
    {
        "id": ID, "kind": TEXT, "state": STATE, "progress": _PERCENT, "message": TEXT,
        "made_at": MOMENT, "finished_at": or_null(MOMENT), "result": or_null({"type": "string", "format": "uri"}),
        "error": or_null(an_object({"code": TEXT, "detail": TEXT})),
    }
)  # fmt: skip


class OneJob(GroupEndpoint):
    """A piece of work that somebody of the group asked for."""

    does = {"get": Does("Tell how far a job is", _JOB)}

    def get(self, request: Any, id: str, **place: str) -> Response:
        """Return its state, its progress in per cent and, once it is done, the address of what came of it."""
        check_parameters(request)
        job = self.one(Job.objects.all(), id)
        return Response(_told(job, request))


def _told(job: Job, request: Any) -> dict[str, Any]:
    return {
        "id": str(job.id),
        "kind": job.kind,
        "state": job.state,
        "progress": job.progress,
        "message": job.message,
        "made_at": instant(job.made_at),
        "finished_at": job.finished_at and instant(job.finished_at),
        "result": _result(job, request),
        "error": {"code": job.error_code, "detail": job.error_detail} if job.error_code else None,
    }


def _result(job: Job, request: Any) -> str | None:
    """Return the address of what a finished job made; None where nothing of it is read there."""
    place = {"group": str(job.group_id)}
    if job.state == State.DONE and job.kind in LATEST:
        return str(request.build_absolute_uri(reverse(LATEST[job.kind], kwargs=place)))
    if job.state != State.DONE or "report" not in job.result:
        return None
    place |= {"id": job.result["report"], "number": str(job.result["version"])}
    return str(request.build_absolute_uri(reverse("season-reports-version", kwargs=place)))
