"""Devices: a random token of our own for each, shown once and kept only as its hash."""

import secrets
from datetime import datetime, timedelta
from hashlib import sha256
from typing import Any

from allauth.account.internal.flows.login import AUTHENTICATION_METHODS_SESSION_KEY
from allauth.mfa.utils import is_mfa_enabled
from django.db.models import Q

from stewardship.accounts.models import Device, Person
from stewardship.errors import NotPermitted, RuleViolation

PREFIX = "sdt_"
SEEN_EVERY = timedelta(hours=1)
MOST = 50


class TooManyDevices(RuleViolation):
    """Nobody carries that many; a program that mints one at each start does."""

    code = "too_many_devices"
    message = f"You have {MOST} devices already. Revoke those that you no longer use."


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
    if Device.objects.filter(person=person, revoked_at=None).count() >= MOST:
        raise TooManyDevices
    token = PREFIX + secrets.token_urlsafe(32)
    device = Device(person=person, name=name, secret_hash=_hash(token.encode()), created_at=at)
    device.save(force_insert=True)
    return device, token


def find(token: bytes, *, or_revoked: bool = False) -> Device | None:
    """Return the device of a token, with its person; None if unknown, revoked, or the person may not sign in."""
    devices = Device.objects.select_related("person").filter(person__is_active=True, secret_hash=_hash(token))
    return devices.first() if or_revoked else devices.filter(revoked_at=None).first()


def note_seen(device: Device, *, at: datetime) -> None:
    """Keep when the device was last seen, at most once an hour."""
    if device.last_seen_at is not None and device.last_seen_at > at - SEEN_EVERY:
        return
    stale = Q(last_seen_at=None) | Q(last_seen_at__lte=at - SEEN_EVERY)
    Device.objects.filter(stale, id=device.id).update(last_seen_at=at)


def rename(device: Device, name: str) -> Device:
    """Give a device another name, by which its owner knows it."""
    Device.objects.filter(id=device.id).update(name=name)
    device.name = name
    return device


def revoke(device: Device, *, at: datetime) -> Device:
    """End a device's right to act. Ending it again changes nothing."""
    Device.objects.filter(id=device.id, revoked_at=None).update(revoked_at=at)
    device.refresh_from_db(fields=["revoked_at"])
    return device


def _hash(token: bytes) -> str:
    return sha256(token).hexdigest()
