"""Records that come from files are played: mutations through ``push``, like those of any device."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from itertools import islice
from typing import Any
from uuid import UUID

import msgspec

from stewardship.accounts import devices
from stewardship.accounts.capabilities import Actor
from stewardship.accounts.models import Device, Person
from stewardship.sync.models import Outbox
from stewardship.sync.perform import push
from stewardship.sync.reading import Sent

CHUNK = 500
"""Mutations in one push."""

DEVICE_NAME = "played from files"


def play(
    lines: Iterable[Sent], *, actor: Actor, at: datetime, device_id: UUID | None = None, chunk: int = CHUNK
) -> list[dict[str, Any]]:
    """Push these mutations as ``actor`` at ``at``, ``chunk`` at a time; return the outcome of each, in order.

    They are numbered after the last one of the device. Without a device one is kept for the person, whose token nobody
    has. What was played before is answered again and changes nothing.
    """
    device_id = device_id or _device(actor, at).id
    results: list[dict[str, Any]] = []
    for mutations in _chunks(lines, chunk):
        numbered = _numbered(mutations, _last_n(device_id, actor.group_id))
        results += push(numbered, actor=actor, device_id=device_id, at=at).results
    return results


def _device(actor: Actor, at: datetime) -> Device:
    kept = Device.objects.filter(person_id=actor.person_id, name=DEVICE_NAME, revoked_at=None).first()
    if kept is not None:
        return kept
    device, _ = devices.mint(Person.objects.get(id=actor.person_id), DEVICE_NAME, at=at)
    return device


def _chunks(lines: Iterable[Sent], size: int) -> Iterator[list[Sent]]:
    left = iter(lines)
    while mutations := list(islice(left, size)):
        yield mutations


def _last_n(device_id: UUID, group_id: UUID) -> int:
    known = Outbox.objects.filter(device_id=device_id, group_id=group_id)
    return known.values_list("last_n", flat=True).first() or 0


def _numbered(mutations: Sequence[Sent], last_n: int) -> list[Sent]:
    return [msgspec.structs.replace(sent, n=n) for n, sent in enumerate(mutations, start=last_n + 1)]
