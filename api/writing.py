"""A request that writes becomes a mutation of one."""

import re
from datetime import datetime
from typing import Any, NamedTuple
from uuid import UUID

import orjson

from api.permissions import read_id
from api.problems import InvalidRequest, PreconditionMissing
from stewardship.errors import Unavailable, Unreadable
from stewardship.journal.ids import new_id
from stewardship.journal.models import Record, Revision
from stewardship.sync.perform import perform_one
from stewardship.sync.reading import Sent
from stewardship.sync.verbs import VERBS

_REVISION = re.compile(r'"([0-9]{1,9})"')


class KeyUnreadable(InvalidRequest):
    """The idempotency key is a mutation's id."""

    code = "idempotency_key_invalid"
    message = "Idempotency-Key is a UUID that you make, a new one for each thing you do."


class RevisionUnreadable(InvalidRequest):
    """If-Match repeats an ETag."""

    code = "if_match_invalid"
    message = 'If-Match is the ETag that you read, with its quotation marks, such as "3".'


class Written(NamedTuple):
    """What came of a write: the record, what it said then (None: what it says now), whether it is new or a replay."""

    record: Record
    content: dict[str, Any] | None
    is_new: bool
    replayed: bool


def fields_of(request: Any) -> dict[str, Any]:
    """Return the fields that a body sets; no body is no fields. Raises Unreadable."""
    body = request.data
    if not isinstance(body, dict):
        detail = "This must be a group of fields, in braces."
        raise Unreadable([{"pointer": "", "code": "value_invalid", "detail": detail}])
    return dict(body)


def with_parent(fields: dict[str, Any], field: str, parent: str) -> dict[str, Any]:
    """Return the fields with the record that the address names. Raises Unreadable where they name another."""
    if fields.get(field, parent) != parent:
        detail = f"The address names another {field}. Leave this out, or send the same."
        raise Unreadable([{"pointer": f"/{field}", "code": "value_invalid", "detail": detail}])
    return fields | {field: parent}


def base_rev(request: Any, *, is_needed: bool) -> int | None:
    """Return the revision that If-Match names. Raises PreconditionMissing, RevisionUnreadable."""
    text = request.headers.get("If-Match")
    if text is None:
        if is_needed:
            raise PreconditionMissing
        return None
    found = _REVISION.fullmatch(text.strip())
    if not found:
        raise RevisionUnreadable
    return int(found[1])


def sent(
    request: Any, kind: str, op: str, fields: dict[str, Any], *, id: UUID | None = None, base_rev: int | None = None
) -> Sent:
    """Return what a request says as a mutation; its id is the idempotency key, or a new one."""
    if id is not None and "id" in fields:
        detail = "The address names the record; leave its id out of the body."
        raise Unreadable([{"pointer": "/id", "code": "field_unknown", "detail": detail}])
    return Sent(mid=_key(request), type=kind, op=op, set=fields, id=id, base_rev=base_rev)


def _key(request: Any) -> UUID:
    text = request.headers.get("Idempotency-Key")
    if text is None:
        return new_id()
    try:
        return read_id(text)
    except Unavailable:
        raise KeyUnreadable from None


def perform(sent: Sent, request: Any, *, at: datetime) -> Written:
    """Perform a mutation and return its record; one that was performed before, as it was answered then."""
    done = perform_one(sent, actor=request.actor, at=at)
    is_new = done.result["outcome"] == "applied"
    if done.record is not None:
        return Written(done.record, None, is_new, replayed=False)
    record, content = _as_of(request.actor, UUID(done.result["id"]), done.result["rev"])
    if "warnings" in done.result:
        content["marks"] = done.result["warnings"]
    return Written(record, content, is_new, replayed=True)


def _as_of(actor: Any, id: UUID, rev: int) -> tuple[Record, dict[str, Any]]:
    """Return a record as it was at a revision. Raises Unavailable if the person may not read it (any more)."""
    told = Revision.objects.filter(group_id=actor.group_id, record_id=id, rev=rev).first()
    model = {verb.record.kind: verb.record for verb in VERBS.values()}.get(told.kind if told else "")
    rows = model._default_manager.filter(model.visible_to(actor), group_id=actor.group_id, id=id) if model else None
    record = rows.first() if rows is not None else None
    if record is None or told is None or told.content is None:
        raise Unavailable
    record.rev = rev
    return record, orjson.loads(told.content)
