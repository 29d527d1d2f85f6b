"""Devices: a random token of our own for each, shown once and kept only as its hash."""

import secrets
from datetime import datetime, timedelta
from hashlib import sha256

from django.db.models import Q

from stewardship.accounts.models import Device, Person
from stewardship.errors import RuleViolation

PREFIX = "sdt_"
SEEN_EVERY = timedelta(hours=1)
MOST = 50


class TooManyDevices(RuleViolation):
    """Nobody carries that many; a program that mints one at each start does."""

    code = "too_many_devices"
    message = f"You have {MOST} devices already. Revoke those that you no longer use."


def mint(person: Person, name: str, *, at: datetime) -> tuple[Device, str]:
    """Make a device of this person and return it with its token, which is nowhere kept. Raises TooManyDevices."""
    if Device.objects.filter(person=person, revoked_at=None).count() >= MOST:
        raise TooManyDevices
    token = PREFIX + secrets.token_urlsafe(32)
    device = Device(person=person, name=name, secret_hash=_hash(token.encode()), created_at=at)
    device.save(force_insert=True)
    return device, token


def find(token: bytes) -> Device | None:
    """Return the device of a token, with its person; None if unknown, revoked, or the person may not sign in."""
    devices = Device.objects.select_related("person").filter(revoked_at=None, person__is_active=True)
    return devices.filter(secret_hash=_hash(token)).first()


def note_seen(device: Device, *, at: datetime) -> None:
    """Keep when the device was last seen, at most once an hour."""
    if device.last_seen_at is not None and device.last_seen_at > at - SEEN_EVERY:
        return
    stale = Q(last_seen_at=None) | Q(last_seen_at__lte=at - SEEN_EVERY)
    Device.objects.filter(stale, id=device.id).update(last_seen_at=at)


def revoke(device: Device, *, at: datetime) -> Device:
    """End a device's right to act. Ending it again changes nothing."""
    Device.objects.filter(id=device.id, revoked_at=None).update(revoked_at=at)
    device.refresh_from_db(fields=["revoked_at"])
    return device


def _hash(token: bytes) -> str:
    return sha256(token).hexdigest()
