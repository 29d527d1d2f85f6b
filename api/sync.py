"""The two calls of a device that was away: push what was done, pull what changed."""

import gzip
from typing import Annotated, Any
from uuid import UUID

from django.http import HttpResponse
from django.utils import timezone
from msgspec import Meta
from rest_framework.response import Response

from api.filtering import check_parameters
from api.operations import ID, INTEGER, TEXT, Does, a_list, an_object, ref
from api.permissions import GroupEndpoint
from api.rendering import Json, NdJson
from api.writing import fields_of
from stewardship.accounts.models import Device
from stewardship.errors import NotPermitted
from stewardship.journal.contents import instant
from stewardship.journal.fields import Closed, Moment, Reason
from stewardship.sync.perform import push
from stewardship.sync.pull import PAGE, pull
from stewardship.sync.reading import Sent, read_fields

MOST = 500
_OUTCOME = {"type": "string", "enum": ["applied", "noop", "merged", "conflict", "held"]}
_RESULT = an_object(
    {"mid": ID, "outcome": _OUTCOME},
    {
        "id": ID, "rev": INTEGER, "seq": INTEGER, "replayed": {"type": "boolean"}, "code": TEXT, "detail": TEXT,
        "warnings": a_list(ref("Warning")), "errors": a_list({"type": "object"}), "reasons": a_list({"type": "object"}),
    },
)  # fmt: skip


class Numbered(Sent, kw_only=True, frozen=True):
    """A mutation with its number in the device's outbox."""

    n: Annotated[int, Meta(ge=1, le=1 << 53)]
    at: Moment | None = None
    reason: Reason = ""


class Push(Closed, frozen=True):
    """What a device has waiting, in its order."""

    device: UUID
    sent_at: Moment
    mutations: Annotated[list[Numbered], Meta(max_length=MOST)]


class Pull(Closed, frozen=True):
    """Where the device's copy ends; null for one that is empty."""

    cursor: Annotated[str, Meta(max_length=2000)] | None = None
    limit: Annotated[int, Meta(ge=1, le=PAGE)] = PAGE


class NotThisDevice(NotPermitted):
    """Mutations are numbered by device: only a device sends them, and only its own."""

    code = "not_this_device"
    message = "A device pushes with its own token, under its own id."


class PushEndpoint(GroupEndpoint):
    """Takes what a device has waiting; each mutation ends in an outcome that is kept. Open to former members."""

    is_open_to_former = True
    does = {
        "post": Does(
            "Push what a device has waiting",
            an_object({"last_n": INTEGER, "head": INTEGER, "results": a_list(_RESULT)}),
            Push,
        )
    }

    def post(self, request: Any, group: str) -> Response:
        """Perform them in order; what breaks a rule is held, not lost."""
        check_parameters(request)
        wish = read_fields(fields_of(request), Push)
        if not isinstance(request.auth, Device) or request.auth.id != wish.device:
            raise NotThisDevice
        taken = push(wish.mutations, actor=request.actor, device_id=wish.device, at=timezone.now())
        return Response(vars(taken))


class PullEndpoint(GroupEndpoint):
    """Gives what changed since a cursor, as one JSON value a line; a page without its end line is discarded."""

    renderer_classes = [NdJson, Json]
    does = {"post": Does("Pull what changed", TEXT, Pull, media_type=NdJson.media_type)}

    def post(self, request: Any, group: str) -> HttpResponse:
        """Return a page, in gzip where that is taken."""
        check_parameters(request)
        wish = read_fields(fields_of(request), Pull)
        told = pull(wish.cursor, actor=request.actor, limit=wish.limit, server_time=instant(timezone.now()))
        headers = {"Vary": "Accept-Encoding"}
        if "gzip" in request.headers.get("Accept-Encoding", ""):
            told, headers = gzip.compress(told, compresslevel=5, mtime=0), headers | {"Content-Encoding": "gzip"}
        return HttpResponse(told, content_type=NdJson.media_type, headers=headers)
