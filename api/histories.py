"""What a record has been: every revision, with what changed in it."""

from itertools import pairwise
from typing import Any
from uuid import UUID

import orjson

from api.answers import told
from stewardship.accounts.capabilities import Actor
from stewardship.accounts.models import Device, Group, Member
from stewardship.journal.contents import instant
from stewardship.journal.models import Record, Revision

NOT_FOR_ALL = {("member", "suspend"), ("member", "end"), ("member", "erase")}
"""Acts whose reason is about a person: coordinators alone read it."""


def of(record: Record, group: Group, actor: Actor) -> list[dict[str, Any]]:
    """Return the revisions of a record, oldest first."""
    revisions = list(Revision.objects.filter(group_id=group.id, record_id=record.id).order_by("rev"))
    people = _names(group.id, {revision.by_id for revision in revisions})
    devices = _device_names({revision.device_id for revision in revisions if revision.device_id})
    contents = [{}, *(orjson.loads(revision.content or "{}") for revision in revisions)]
    return [
        _line(revision, people, devices, actor) | {"changes": _changes(old, new, group)}
        for revision, (old, new) in zip(revisions, pairwise(contents), strict=True)
    ]


def _line(revision: Revision, people: dict[UUID, str], devices: dict[UUID, str], actor: Actor) -> dict[str, Any]:
    device = revision.device_id
    is_told = (revision.kind, revision.op) not in NOT_FOR_ALL or actor.audiences() is None
    return {
        "seq": revision.seq,
        "rev": revision.rev,
        "op": revision.op,
        "who": {"person": str(revision.by_id), "name": people.get(revision.by_id)},
        "when": instant(revision.at),
        "device": {"id": str(device), "name": devices.get(device)} if device else None,
        "reason": revision.reason if is_told else "",
        "is_erased": revision.content is None,
    }


def _changes(old: dict[str, Any], new: dict[str, Any], group: Group) -> list[dict[str, Any]]:
    changed = [name for name in {**old, **new} if old.get(name) != new.get(name)]
    before, after = told(old, group), told(new, group)
    return [{"field": name, "old": before.get(name), "new": after.get(name)} for name in changed]


def _names(group_id: UUID, people: set[UUID]) -> dict[UUID, str]:
    members = Member.objects.filter(group_id=group_id, person_id__in=people)
    return dict(members.values_list("person_id", "display_name"))


def _device_names(ids: set[UUID]) -> dict[UUID, str]:
    return dict(Device.objects.filter(id__in=ids).values_list("id", "name"))
