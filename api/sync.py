"""The calls of a device that was away: hello, push what was done, pull what changed, rescue what cannot be read."""

import gzip
import re
from dataclasses import replace
from math import ceil
from time import monotonic
from typing import Annotated, Any
from uuid import UUID, uuid5

from django.conf import settings
from django.http import HttpResponse
from django.utils import timezone
from msgspec import Meta
from rest_framework.response import Response

from api.authentication import BrowserSession, LateDeviceToken, SessionToken
from api.filtering import check_parameters
from api.operations import ID, INTEGER, MOMENT, TEXT, Does, a_list, an_object, in_header, or_null, ref
from api.parsing import MAX_BYTES
from api.permissions import GroupEndpoint
from api.problems import InvalidRequest
from api.rendering import Json, NdJson
from api.writing import fields_of
from stewardship.accounts.devices import NotThisDevice, under_id
from stewardship.accounts.models import Device
from stewardship.errors import Unreadable
from stewardship.journal.contents import instant
from stewardship.journal.fields import Closed, Moment, Reason
from stewardship.sync import negotiating, rates
from stewardship.sync.arriving import Arrival
from stewardship.sync.pull import GZIP_LEVEL, PAGE, SCHEMA, pull
from stewardship.sync.reading import RESCUED, Sent, read_fields
from stewardship.sync.rewinding import Remembers
from stewardship.sync.taking import LATE_A_DAY, RESCUED_A_DAY, DeviceRevoked, take

MOST = 500
MOST_RESCUED = 100_000
"""Characters of an entry that cannot be read."""

SLOW_S, LONGEST_BACKOFF_S = 1, 60
_NUMBER = re.compile(r"[0-9]{1,6}")
_GZIP = re.compile(r"(?:^|,)\s*gzip\s*(?:;\s*q=(?!0(?:\.0*)?\s*(?:,|$))|,|$)", re.IGNORECASE)
"""A coding that is taken: named, and not with a weight of 0 (RFC 9110, section 12.5.3)."""

_SPEAKS = in_header(
    "Sync-Protocol", INTEGER, "The version of the protocol that the device speaks; without it, the newest."
)
_KEEPS = in_header("Sync-Schema", INTEGER, "The form of records that the device keeps; without it, the newest.")
_VERSIONS = an_object({"min": INTEGER, "max": INTEGER})
_HELLO = an_object(
    {
        "protocol": _VERSIONS,
        "schema": an_object({"min": INTEGER, "current": INTEGER}),
        "server_time": MOMENT,
        "limits": an_object({"mutations": INTEGER, "bytes": INTEGER, "page": INTEGER, "rescue": INTEGER}),
        "notice": or_null(TEXT),
    }
)
_OUTCOME = {"type": "string", "enum": ["applied", "noop", "merged", "conflict", "held"]}
_RESULT = an_object(
    {"mid": ID, "outcome": _OUTCOME},
    {
        "id": ID, "rev": INTEGER, "seq": INTEGER, "replayed": {"type": "boolean"}, "code": TEXT, "detail": TEXT,
        "warnings": a_list(ref("Warning")), "errors": a_list({"type": "object"}), "reasons": a_list({"type": "object"}),
        "incident": ID, "fields": {"type": "object"}, "to_settle": ID, "parent": ID,
    },
)  # fmt: skip
_TAKEN = an_object({"last_n": INTEGER, "head": INTEGER, "results": a_list(_RESULT), "backoff_s": INTEGER})


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


class Rescue(Closed, frozen=True):
    """An entry that a push cannot take, under its number in the outbox: its text, as far as there is room for it."""

    device: UUID
    sent_at: Moment
    n: Annotated[int, Meta(ge=1, le=1 << 53)]
    text: Annotated[str, Meta(min_length=1, max_length=MOST_RESCUED)]


class Pull(Remembers, frozen=True):
    """Where the device's copy ends, null for an empty one; and the head that its last page told, to be compared."""

    cursor: Annotated[str, Meta(max_length=2000)] | None = None
    limit: Annotated[int, Meta(ge=1, le=PAGE)] = PAGE


class VersionUnreadable(InvalidRequest):
    """A version is a whole number."""

    code = "version_invalid"
    message = "Sync-Protocol and Sync-Schema are whole numbers, such as 1."


class SyncEndpoint(GroupEndpoint):
    """A call of a device, which says in its headers what it speaks."""

    def initial(self, request: Any, *args: Any, **kwargs: Any) -> None:
        """Refuse a version of the protocol that is not spoken here."""
        super().initial(request, *args, **kwargs)
        negotiating.check_protocol(_version(request, "Sync-Protocol", negotiating.MAX_PROTOCOL))


class HelloEndpoint(GroupEndpoint):
    """Says what is spoken here and how much is taken; open to whoever may push."""

    is_open_to_former = True
    does = {"get": Does("Ask what is spoken here and how much is taken", _HELLO)}

    def get(self, request: Any, group: str) -> Response:
        """Tell it."""
        check_parameters(request)
        limits = {"mutations": MOST, "bytes": MAX_BYTES, "page": PAGE, "rescue": MOST_RESCUED}
        told = {"server_time": instant(timezone.now()), "limits": limits, "notice": settings.SYNC_NOTICE or None}
        return Response(negotiating.spoken() | told)


class PushEndpoint(SyncEndpoint):
    """Takes what a device has waiting; each mutation ends in an outcome that is kept. Open to former members."""

    authentication_classes = [LateDeviceToken, SessionToken, BrowserSession]
    is_open_to_former = True
    does = {"post": Does("Push what a device has waiting", _TAKEN, Push, parameters=[_SPEAKS, _KEEPS])}

    def post(self, request: Any, group: str) -> Response:
        """Perform them in order; what breaks a rule is held, not lost."""
        check_parameters(request)
        wish = read_fields(fields_of(request), Push)
        _version(request, "Sync-Schema", SCHEMA)
        return _taken(request, wish, wish.mutations, Arrival())


class RescueEndpoint(PushEndpoint):
    """Takes one entry that a push cannot take; it is held as it is, and the next ones are in the way of nothing."""

    does = {"post": Does("Rescue one entry that a push cannot take", _TAKEN, Rescue, parameters=[_SPEAKS, _KEEPS])}

    def post(self, request: Any, group: str) -> Response:
        """Keep it. Its id follows from its text, so that it is kept once."""
        check_parameters(request)
        wish = read_fields(fields_of(request), Rescue)
        mid = uuid5(request.actor.group_id, wish.text)
        kept = Sent(mid=mid, n=wish.n, type=RESCUED, op="rescue", set={"text": wish.text})
        detail = "This could not be read. It is kept as it is, to be settled."
        problem = Unreadable([{"pointer": "", "code": "unreadable", "detail": detail}])
        return _taken(request, wish, [kept], Arrival(held_for=problem, held_a_day=RESCUED_A_DAY))


class PullEndpoint(SyncEndpoint):
    """Gives what changed since a cursor, as one JSON value a line; a page without its end line is discarded."""

    renderer_classes = [NdJson, Json]
    does = {"post": Does("Pull what changed", TEXT, Pull, media_type=NdJson.media_type, parameters=[_SPEAKS, _KEEPS])}

    def post(self, request: Any, group: str) -> HttpResponse:
        """Return a page, in gzip where that is taken."""
        check_parameters(request)
        wish = read_fields(fields_of(request), Pull)
        negotiating.check_schema_of_pull(_version(request, "Sync-Schema", SCHEMA))
        told = pull(
            wish.cursor, actor=request.actor, limit=wish.limit, server_time=instant(timezone.now()),
            remembered=wish.remembered(),
        )  # fmt: skip
        headers = {"Vary": "Accept-Encoding"}
        if _GZIP.search(request.headers.get("Accept-Encoding", "")):
            told, headers = (
                gzip.compress(told, compresslevel=GZIP_LEVEL, mtime=0),
                headers | {"Content-Encoding": "gzip"},
            )
        return HttpResponse(told, content_type=NdJson.media_type, headers=headers)


def _version(request: Any, header: str, newest: int) -> int:
    """Return the version that a header names, the newest where it is not sent. Raises VersionUnreadable."""
    text = request.headers.get(header, str(newest))
    if not _NUMBER.fullmatch(text):
        raise VersionUnreadable
    return int(text)


def _taken(request: Any, wish: Push | Rescue, mutations: Any, arrival: Arrival) -> Response:
    """Take what a device sends under its own id, and ask it to slow down where that took long."""
    if not isinstance(request.auth, Device):
        raise NotThisDevice
    now = timezone.now()
    device = under_id(request.auth, wish.device, at=now)
    if device.revoked_at is not None:
        arrival = replace(arrival, held_for=DeviceRevoked(), held_a_day=LATE_A_DAY)
    arrival = replace(arrival, sent_at=wish.sent_at, size_bytes=request.size_bytes, most=rates.ordinary())
    began_s = monotonic()
    taken = take(mutations, actor=request.actor, device_id=device.id, at=now, arrival=arrival)
    took_s = monotonic() - began_s
    return Response(vars(taken) | {"backoff_s": _backoff_s(took_s, is_part=len(taken.results) < len(mutations))})


def _backoff_s(took_s: float, *, is_part: bool) -> int:
    """Return how long a device is asked to wait before it pushes again: longer, the longer this push had to wait."""
    if took_s < SLOW_S and not is_part:
        return 0
    return min(LONGEST_BACKOFF_S, 1 + ceil(4 * took_s))
