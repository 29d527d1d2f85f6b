"""A phone of a simulated world: the reference client in somebody's hand, with a clock that may be wrong."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta, timezone
from random import Random
from typing import Any

from tests.cast import Someone
from tests.client.device import Device
from tests.client.store import Store
from tests.client.transport import Transport

CHICAGO_IN_SUMMER = timezone(timedelta(hours=-5))


@dataclass
class Phone:
    """Somebody's phone: what it keeps, what a backup of it kept, how wrong its clock is."""

    name: str
    who: Someone
    transport: Transport
    random: Random
    now: Callable[[], datetime]
    registers: Callable[[], tuple[str, str]]
    page: int = 2000
    skew: timedelta = timedelta()
    saved: bytes = b""
    rested_at: Any = None
    """How far the book went when this phone last had everything and nothing more to say."""
    device: Device = field(init=False)

    def __post_init__(self) -> None:
        """Begin with nothing, signed in."""
        self._hold(Store(":memory:"))
        self.device.signed_in(*self.registers())

    def _hold(self, store: Store) -> None:
        self.device = Device(
            store, self.transport, str(self.who.group_id), now=self.clock, ticks_s=self._ticks_s,
            random=self.random, most=self.random.choice([2, 5, 500]), page=self.page,
        )  # fmt: skip

    def clock(self) -> datetime:
        """Return what the phone shows."""
        return (self.now() + self.skew).astimezone(CHICAGO_IN_SUMMER)

    def _ticks_s(self) -> float:
        return (self.now() - datetime(2027, 1, 1, tzinfo=UTC)).total_seconds()

    def back_up(self) -> None:
        """Keep a backup of everything on it."""
        self.saved = self.device.store.db.serialize()

    def restore(self) -> set[str]:
        """Go back to the backup; return the ids of what was entered since and is here no more."""
        before = self.device.store.entered().keys()
        self._hold(_opened(self.saved))
        return set(before - self.device.store.entered().keys())

    def dies(self) -> None:
        """Lose what was in memory, and begin again with what stands in the file."""
        self._hold(_opened(self.device.store.db.serialize()))


def _opened(kept: bytes) -> Store:
    store = Store(":memory:")
    store.db.deserialize(kept)
    return store


def clone(phone: Phone, name: str) -> Phone:
    """Return a second phone that was set up from a backup of the first: both count under one identity."""
    other = Phone(name, phone.who, phone.transport, phone.random, phone.now, phone.registers, phone.page, phone.skew)
    other.saved = phone.device.store.db.serialize()
    other._hold(_opened(other.saved))
    return other
