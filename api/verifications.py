"""Whether the group's record book can be proved: asked for, and what was found last."""

from typing import Any

from django.utils import timezone
from rest_framework.response import Response

from api.filtering import check_parameters
from api.jobs import STATE
from api.operations import ID, INTEGER, MOMENT, TEXT, Does, a_list, an_object
from api.permissions import GroupEndpoint
from api.writing import fields_of
from stewardship.errors import Unavailable
from stewardship.journal.contents import instant
from stewardship.sync import proving
from stewardship.sync.reading import read_fields
from stewardship.sync.rewinding import Remembers

_FOUND = an_object(
    {
        "job": ID, "finished_at": MOMENT, "findings": a_list(an_object({"code": TEXT, "detail": TEXT})),
        "more_findings": INTEGER, "revisions": INTEGER, "records": INTEGER, "head": INTEGER, "head_hash": TEXT,
        "heads_compared": INTEGER,
    }
)  # fmt: skip


class AskToVerify(Remembers, frozen=True):
    """A head that somebody remembers, if the book is to be held against one."""


class Verifications(GroupEndpoint):
    """Prove the record book: hashes, chain, numbers, and each record against its newest entry; a job does the work."""

    does = {"post": Does("Ask for a verification of the book", an_object({"id": ID, "state": STATE}), AskToVerify, 202)}

    def post(self, request: Any, **place: str) -> Response:
        """Ask for it; asked again before the book has changed, the same job answers."""
        check_parameters(request)
        wish = read_fields(fields_of(request), AskToVerify)
        job = proving.ask_now(request.actor, wish.remembered(), timezone.now())
        return Response({"id": str(job.id), "state": job.state}, status=202)


class LatestVerification(GroupEndpoint):
    """What was found last."""

    does = {"get": Does("Read the latest verification of the book", _FOUND)}

    def get(self, request: Any, **place: str) -> Response:
        """Return the findings and the head, to be kept; before the first verification there is nothing to read."""
        check_parameters(request)
        job = proving.latest(request.actor)
        if job is None:
            raise Unavailable
        assert job.finished_at
        return Response({"job": str(job.id), "finished_at": instant(job.finished_at), **job.result})
