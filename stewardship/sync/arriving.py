"""How a device hands in what it has: when by its clock, how much at once, and why all of it is held where it is."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

import msgspec

from stewardship.errors import RuleViolation
from stewardship.sync.reading import Sent

NO_TIME = timedelta(0)
FLAGGED, SETTLED = timedelta(minutes=10), timedelta(hours=24)
"""Beyond the first a clock that is off is marked; beyond the second a person settles which times were meant."""


class ClockFarOff(RuleViolation):
    """The times that an entry tells come from a clock too far off for anybody to know which were meant."""

    code = "clock_far_off"
    message = "The clock of this device is {told}, so nobody can say when this was done. It is kept to be settled."


@dataclass(frozen=True)
class Most:
    """How much may be handed in within a span: by one device, and ``devices`` times as much by a group."""

    mutations: int
    bytes: int
    within: timedelta
    devices: int


@dataclass(frozen=True)
class Arrival:
    """What is known of a push beside its mutations; nothing of it where the service plays records itself."""

    sent_at: datetime | None = None
    """When it was sent, by the clock of the device."""
    size_bytes: int = 0
    most: Most | None = None
    held_for: RuleViolation | None = None
    """Why every mutation is held, whatever it says."""
    held_a_day: int | None = None
    """How many such may be kept of a device within 24 hours."""

    def far_off(self, sent: Sent, wish: Any, at: datetime) -> ClockFarOff | None:
        """Return why a mutation waits for its times to be settled, or None: one that tells none loses nothing."""
        off = self._off(sent.at, at)
        return ClockFarOff(told=_told(off)) if abs(off) > SETTLED and _tells_time(wish) else None

    def warning_of(self, sent: Sent, at: datetime) -> dict[str, str] | None:
        """Return the mark of a mutation from a clock that is off, or None."""
        off = self._off(sent.at, at)
        if abs(off) <= FLAGGED:
            return None
        detail = f"The clock of this device is {_told(off)}. The times that it told are kept as they were told."
        return {"code": "clock_off", "field": "at", "detail": detail}

    def estimate(self, said_at: datetime | None, at: datetime) -> datetime | None:
        """Return when it was done by our clock, if the claim is as far off as the device's clock is now."""
        if said_at is None or self.sent_at is None:
            return None
        return said_at + (at - self.sent_at)

    def _off(self, said_at: datetime | None, at: datetime) -> timedelta:
        """Return how far the clock is ahead, or behind below zero.

        What is told to have been done after it was sent was told by a clock that has been set back since.
        """
        if self.sent_at is None:
            return NO_TIME
        off = self.sent_at - at
        since = said_at - self.sent_at if said_at else NO_TIME
        return max(off, since, key=abs) if since > NO_TIME else off


def _tells_time(wish: Any) -> bool:
    """Tell whether a date or a time stands in a value, at any depth."""
    if isinstance(wish, msgspec.Struct):
        return any(_tells_time(getattr(wish, name)) for name in wish.__struct_fields__)
    if isinstance(wish, list):
        return any(map(_tells_time, wish))
    return isinstance(wish, date)


def _told(off: timedelta) -> str:
    """Return in words how far a clock is off."""
    minutes = abs(off) // timedelta(minutes=1)
    count, unit = next((minutes // size, unit) for unit, size in _UNITS if minutes >= 2 * size or size == 1)
    return f"{count} {unit}s {'ahead' if off > NO_TIME else 'behind'}"


_UNITS = (("day", 1440), ("hour", 60), ("minute", 1))
"""Unit and its minutes: the largest of which there are at least two."""


FROM_HERE = Arrival()
"""What the service plays itself: neither a clock nor a measure bears on it."""
