"""Devices: a random token of our own for each, shown once and kept only as its hash."""

import secrets
from datetime import datetime, timedelta
from hashlib import sha256
from typing import Any
from uuid import UUID

from allauth.account.internal.flows.login import AUTHENTICATION_METHODS_SESSION_KEY
from allauth.mfa.utils import is_mfa_enabled
from django.db.models import Count, Q, QuerySet

from stewardship.accounts.models import Device, Person
from stewardship.errors import NotPermitted, RuleViolation
from stewardship.journal import rows

PREFIX = "sdt_"
SEEN_EVERY = timedelta(hours=1)
MOST = 50


class TooManyDevices(RuleViolation):
    """Nobody carries that many; a program that mints one at each start does."""

    code = "too_many_devices"
    message = f"You have {MOST} devices already. Revoke those that you no longer use."


class NotThisDevice(NotPermitted):
    """Mutations are numbered by device: only a device sends them, and only its own."""

    code = "not_this_device"
    message = "A device pushes with its own token, under its own id."


class SecondFactorNeeded(NotPermitted):
    """Who has a second factor mints no token in a session that did not pass it: a token needs none ever after."""

    code = "second_factor_needed"
    message = "You sign in with a second factor. Sign in anew with its code, then add the device."


def check_second_factor(person: Person, session: Any) -> None:
    """Refuse a session of somebody with a second factor that was not passed in it. Raises SecondFactorNeeded."""
    if is_mfa_enabled(person) and not any(
        each.get("method") == "mfa" for each in session.get(AUTHENTICATION_METHODS_SESSION_KEY, [])
    ):
        raise SecondFactorNeeded


def mint(person: Person, name: str, *, at: datetime) -> tuple[Device, str]:
    """Make a device of this person and return it with its token, which is nowhere kept. Raises TooManyDevices."""
    _check_room(Q(person=person, revoked_at=None))
    token = PREFIX + secrets.token_urlsafe(32)
    device = Device(person=person, name=name, secret_hash=_hash(token.encode()), created_at=at)
    device.save(force_insert=True)
    return device, token


def under_id(device: Device, id: UUID, *, at: datetime) -> Device:
    """Return the device that a token counts as: its own, or a copy of it, made when it is first heard of.

    Raises NotThisDevice if another token counts under that id, and TooManyDevices.
    """
    if id == device.id:
        return device
    if not Device.objects.filter(id=id).exists():
        _check_room(Q(person_id=device.person_id, revoked_at=None) | Q(copy_of=device))
        copy = Device(id=id, person_id=device.person_id, name=device.name, copy_of=device, created_at=at)
        copy.revoked_at = device.revoked_at
        Device.objects.bulk_create([copy], ignore_conflicts=True)  # of two at once the second one finds it
    found = Device.objects.filter(id=id, copy_of=device).first()
    if found is None:
        raise NotThisDevice
    return found


def _check_room(devices: Q) -> None:
    if Device.objects.filter(devices).count() >= MOST:
        raise TooManyDevices


def find(token: bytes, *, or_revoked: bool = False) -> Device | None:
    """Return the device of a token, with its person; None if unknown, revoked, or the person may not sign in."""
    found = rows.select(Device, beside="person", secret_hash=_hash(token))
    is_known = bool(found) and found[0].person.is_active and (or_revoked or found[0].revoked_at is None)
    return found[0] if is_known else None


def note_seen(device: Device, *, at: datetime) -> None:
    """Keep when the device was last seen, at most once an hour."""
    if device.last_seen_at is not None and device.last_seen_at > at - SEEN_EVERY:
        return
    stale = Q(last_seen_at=None) | Q(last_seen_at__lte=at - SEEN_EVERY)
    Device.objects.filter(stale, id=device.id).update(last_seen_at=at)


def rename(device: Device, name: str) -> Device:
    """Give a device, and what is a copy of it, another name, by which its owner knows it."""
    Device.objects.filter(_with_copies(device)).update(name=name)
    device.name = name
    return device


def revoke(device: Device, *, at: datetime) -> Device:
    """End the right to act of a device and of what is a copy of it. Ending it again changes nothing."""
    Device.objects.filter(_with_copies(device), revoked_at=None).update(revoked_at=at)
    device.refresh_from_db(fields=["revoked_at"])
    return device


def owned(person_id: UUID) -> QuerySet[Device]:
    """Return the devices of a person, each with how many ``known_copies`` of it were heard of."""
    return Device.objects.filter(person_id=person_id, copy_of=None).annotate(known_copies=Count("copies"))


def _with_copies(device: Device) -> Q:
    return Q(id=device.id) | Q(copy_of=device)


def _hash(token: bytes) -> str:
    return sha256(token).hexdigest()
