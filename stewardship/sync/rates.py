"""How much may be handed in, by a device and by its group, in mutations and in bytes.

What was handed in is kept as the moment at which it is worked off at the rate that is allowed (the generic cell rate
algorithm of ITU-T Recommendation I.371): one time a device and measure, in the row of the ledger that each push locks
anyway. A device is exact; of its group, what others hand in at the same moment is counted from the next push on.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from math import ceil

from django.conf import settings
from django.db.models import Q

from stewardship.errors import RuleViolation
from stewardship.sync.arriving import NO_TIME, Arrival, Most
from stewardship.sync.models import Mutation, Outbox
from stewardship.sync.reading import Sent

DAY = timedelta(days=1)
DEVICES_OF_A_GROUP = 5
"""How many devices' measure a group has, however many it really has."""


class TooMuch(RuleViolation):
    """More than the service takes in a span; it says how long to wait."""

    code = "too_much_at_once"
    message = "That was more than this service takes at once. Nothing is lost: send it again in {wait_s} seconds."

    wait_s: int


class TooManyHeld(TooMuch):
    """More that nobody may perform than is kept of one device in a day."""

    code = "too_many_held"
    message = "No more of this is taken from this device today. Keep it, and ask a coordinator."


def ordinary() -> Most:
    """Return how much a device that may act hands in within an hour."""
    return Most(settings.SYNC_MUTATIONS_AN_HOUR, settings.SYNC_BYTES_AN_HOUR, timedelta(hours=1), DEVICES_OF_A_GROUP)


def admit(outbox: Outbox, mutations: Sequence[Sent], arrival: Arrival, at: datetime) -> dict[str, datetime]:
    """Return what is to be kept in the device's row once these are taken. Raises TooMuch.

    The row is locked. The measure may be passed by one push, so that the largest fits into the smallest.
    """
    if arrival.held_a_day is not None:
        _check_held(outbox, sum((sent.n or 0) > outbox.last_n for sent in mutations), arrival.held_a_day, at)
    most = arrival.most
    if most is None:
        return {}
    others = _others(outbox, at)
    counted = {"mutations_until": (len(mutations), most.mutations), "bytes_until": (arrival.size_bytes, most.bytes)}
    waits: list[timedelta] = []
    kept: dict[str, datetime] = {}
    for column, (count, allowed) in counted.items():
        own = _left(getattr(outbox, column), at)
        group = sum((_left(getattr(other, column), at) for other in others), own)
        waits += [own - most.within, (group - most.within * most.devices) / (len(others) + 1)]
        kept[column] = at + own + most.within * count // allowed
    if (wait := max(waits)) > NO_TIME:
        raise TooMuch(wait_s=ceil(wait.total_seconds()))
    return kept


def _others(outbox: Outbox, at: datetime) -> list[Outbox]:
    """Return the places of the group's other devices that have something left to be worked off."""
    busy = Q(mutations_until__gt=at) | Q(bytes_until__gt=at)
    return list(Outbox.objects.filter(busy, group_id=outbox.group_id).exclude(device_id=outbox.device_id))


def _left(until: datetime | None, at: datetime) -> timedelta:
    return max(until - at, NO_TIME) if until else NO_TIME


def _check_held(outbox: Outbox, fresh: int, most: int, at: datetime) -> None:
    held = Mutation.objects.filter(group_id=outbox.group_id, outcome="held", device_id=outbox.device_id)
    if fresh and held.filter(received_at__gt=at - DAY).count() + fresh > most:
        raise TooManyHeld(wait_s=3600)
