"""The reference client in the hand of one of the cast."""

from collections.abc import Callable
from datetime import datetime
from itertools import count
from random import Random
from typing import Any

from django.utils import timezone

from stewardship.accounts import devices
from tests.cast import Someone
from tests.client.device import Device
from tests.client.store import Store
from tests.client.transport import Answer, InProcess, NoAnswer, Transport

_seeds = count()


class Valley:
    """A place where there is a signal or none; the answers to some calls get lost."""

    def __init__(self, transport: Transport | None = None) -> None:
        self.transport = transport or InProcess()
        self.has_signal = True
        self.loses_answers = 0

    def send(self, *request: Any) -> Answer:
        """Carry a request where there is a signal. Raises NoAnswer."""
        if not self.has_signal:
            raise NoAnswer("no signal")
        answer = self.transport.send(*request)
        if self.loses_answers:
            self.loses_answers -= 1
            raise NoAnswer("the answer was lost")
        return answer


def in_hand(
    someone: Someone, *, transport: Transport | None = None, now: Callable[[], datetime] = timezone.now, **more: Any
) -> Device:
    """Return the device of somebody, with their token and an empty store."""

    device = Device(
        Store(":memory:"), transport or InProcess(), str(someone.group_id), now=now, ticks_s=lambda: 0.0,
        random=more.pop("random", None) or Random(next(_seeds)), **more,
    )  # fmt: skip
    device.signed_in(str(someone.device.id), someone.token)
    return device


def sign_in_anew(phone: Device, someone: Someone) -> None:
    """Give a phone the token of a device that its person adds."""
    device, token = devices.mint(someone.person, "another phone", at=timezone.now())
    phone.signed_in(str(device.id), token)


def find_a_signal(*phones: Device) -> None:
    """Let each of these sync, however long it meant to wait."""
    for phone in phones:
        phone.wait_until = 0.0
        phone.sync()
