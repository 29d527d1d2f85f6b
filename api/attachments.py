"""Private files by their SHA-256: handed in whole or in pieces, read by whom they are for."""

import re
from typing import Any

from django.http import HttpResponse
from django.utils import timezone
from rest_framework.response import Response

from api.filtering import check_parameters
from api.operations import ID, INTEGER, TEXT, Does, an_object, in_header, in_query, or_null
from api.parsing import Octets
from api.permissions import GroupEndpoint
from stewardship.attachments import queries
from stewardship.attachments.handing_out import handed_out
from stewardship.attachments.models import Attachment
from stewardship.attachments.refusals import PieceUnreadable
from stewardship.attachments.services import Piece, take_piece
from stewardship.errors import Unavailable
from stewardship.journal.contents import instant

_HASH = re.compile(r"[0-9a-f]{64}")
_RANGE = re.compile(r"bytes ([0-9]{1,12})-([0-9]{1,12})/([0-9]{1,12})")
_MOMENT = {"type": "string", "format": "date-time"}
_BYTES = {"type": "string", "format": "binary"}
_STATE = an_object({
    "sha256": TEXT, "size_bytes": INTEGER, "offset_bytes": INTEGER, "media_type": TEXT, "audience": TEXT,
    "uploaded_by": ID, "completed_at": or_null(_MOMENT),
})  # fmt: skip
_AUDIENCE = in_query(
    "audience",
    {"type": "string", "maxLength": 36},
    "For whom the file is: group, coordinators, or the id of one person (coordinators see those too).",
) | {"required": True}
_CONTENT_RANGE = in_header(
    "Content-Range",
    TEXT | {"pattern": "^bytes [0-9]+-[0-9]+/[0-9]+$"},
    "Which bytes of the whole file these are (RFC 9110, section 14.5); without it they are the whole file.",
)
_HEADERS = ("Upload-Offset", "Upload-Length", "Upload-Complete")


class OneAttachment(GroupEndpoint):
    """A file. HEAD tells how far it has come: go on from Upload-Offset. A record may name it before it is there."""

    parser_classes = [Octets]
    does = {
        "get": Does("Download a file, as it was handed in", _BYTES, media_type="application/octet-stream"),
        "put": Does(
            "Upload a file, or a piece of one",
            _STATE,
            _BYTES,
            takes_as=Octets.media_type,
            parameters=[_AUDIENCE, _CONTENT_RANGE],
            headers=_HEADERS,
        ),
    }

    def get(self, request: Any, sha256: str, **place: str) -> HttpResponse:
        """Return the file to keep, never to show within a page of ours."""
        check_parameters(request)
        return handed_out(request.actor, _digest(sha256), request.headers.get("If-None-Match"))

    def head(self, request: Any, sha256: str, **place: str) -> HttpResponse:
        """Tell how far it has come, to whoever may read it or hands it in."""
        check_parameters(request)
        found = queries.arrived(request.actor, _digest(sha256))
        if found is None:
            raise Unavailable
        return HttpResponse(headers=_progress(found), content_type=found.media_type or Octets.media_type)

    def put(self, request: Any, sha256: str, **place: str) -> Response:
        """Take the bytes."""
        digest = _digest(sha256)
        check_parameters(request, "audience")
        piece = _piece(request)
        upload = take_piece(request.actor, digest, piece, request.query_params.get("audience", ""), timezone.now())
        return Response(_told(upload), headers=_progress(upload))


def _digest(text: str) -> str:
    """Return the hash in an address; one that is malformed is answered like one that is unknown."""
    if not _HASH.fullmatch(text):
        raise Unavailable
    return text


def _piece(request: Any) -> Piece:
    """Return what was sent and where it belongs. Raises PieceUnreadable."""
    said = request.headers.get("Content-Range")
    found = _RANGE.fullmatch(said.strip()) if said is not None else None
    if said is not None and found is None:
        raise PieceUnreadable
    body = request.data if isinstance(request.data, bytes) else b""
    if found is None:
        return Piece(0, len(body), body)
    first, last, whole = map(int, found.groups())
    if last - first + 1 != len(body):
        raise PieceUnreadable
    return Piece(first, whole, body)


def _progress(upload: Attachment) -> dict[str, str]:
    """Return the headers that tell how far an upload has come: the words of the IETF's draft on resumable uploads."""
    return {
        "Upload-Offset": str(upload.offset_bytes),
        "Upload-Length": str(upload.size_bytes),
        "Upload-Complete": "?1" if upload.is_complete else "?0",
    }


def _told(upload: Attachment) -> dict[str, Any]:
    return {
        "sha256": upload.sha256,
        "size_bytes": upload.size_bytes,
        "offset_bytes": upload.offset_bytes,
        "media_type": upload.media_type,
        "audience": upload.audience,
        "uploaded_by": str(upload.uploaded_by_id),
        "completed_at": instant(upload.completed_at) if upload.completed_at else None,
    }
