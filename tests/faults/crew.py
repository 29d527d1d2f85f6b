"""Devices that enter and push all the time, each in a thread of its own; and what the service told each of them."""

import json
import logging
import time
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from random import Random
from threading import Event
from typing import Any
from uuid import UUID

from django.utils import timezone

from tests.cast import Someone
from tests.client.device import Device
from tests.client.store import Store
from tests.client.transport import Answer, NoAnswer, OverHttp, Transport
from tests.faults.acts import Enters
from tests.ground import Ground
from tests.processes import wait_until

AT_LEAST, AT_MOST, NOW_AND_THEN = 1, 20, 60
"""Mutations that are entered before a push; and the most, once in ten times."""
DRAINING_S = 120

log = logging.getLogger(__name__)


@dataclass
class Heard:
    """A transport that remembers what was pushed and what was acknowledged, whatever the device makes of it."""

    transport: Transport
    ends: set[int] = field(default_factory=set)
    """The last number of each push that was sent."""
    acknowledged: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    """Every outcome that was told of a mutation, by its id."""
    pushes: int = 0
    unanswered: int = 0
    is_pushing: bool = False

    def send(self, method: str, path: str, headers: Mapping[str, str], body: bytes) -> Answer:
        """Carry a request. Raises NoAnswer."""
        if not path.endswith("/push"):
            return self.transport.send(method, path, headers, body)
        self.pushes += 1
        self.ends.add(json.loads(body)["mutations"][-1]["n"])
        self.is_pushing = True
        try:
            answer = self.transport.send(method, path, headers, body)
            told = answer.said()
        except NoAnswer:
            self.unanswered += 1
            raise
        finally:
            self.is_pushing = False
        for result in told.get("results", ()):
            self.acknowledged.setdefault(result["mid"], []).append(result)
        return answer


@dataclass
class Phone:
    """The reference client in somebody's hand, and what stood on it in the end."""

    who: Someone
    heard: Heard
    random: Random
    entered: dict[str, dict[str, Any]] = field(default_factory=dict)
    copy: dict[str, tuple[str, int, str | None]] = field(default_factory=dict)
    left: int = -1
    kept: bytes = b""

    def live(self, ground: Ground, common: UUID, is_over: Event) -> None:
        """Enter, push and pull until it is over; then hand over what is left."""
        device = self._device()
        device.pull()
        enters = Enters(device, ground, common, self.random)
        while not is_over.is_set():
            most = NOW_AND_THEN if self.random.random() < 0.1 else AT_MOST
            enters.enter(self.random.randint(AT_LEAST, most))
            self._try(device, device.push)
            if self.random.random() < 0.2:
                self._try(device, device.pull)
        ends = time.monotonic() + DRAINING_S
        while device.store.outbox(1) and time.monotonic() < ends:
            self._try(device, device.push)
        self.entered, self.left = device.store.entered(), len(device.store.outbox())
        self.kept = device.store.db.serialize()

    def catch_up(self) -> None:
        """Pull until the copy is whole."""
        device = self._device()
        device.store.db.deserialize(self.kept)
        ends = time.monotonic() + DRAINING_S
        while not self._try(device, device.pull):
            assert time.monotonic() < ends, "no pull came to its end"
        self.copy = device.store.records()

    def _device(self) -> Device:
        device = Device(
            Store(":memory:"), self.heard, str(self.who.group_id), now=timezone.now, ticks_s=lambda: 0.0,
            random=self.random, registers=self._never,
        )  # fmt: skip
        device.signed_in(str(self.who.device.id), self.who.token)
        return device

    def _try(self, device: Device, call: Callable[[], Any]) -> Any:
        """Push or pull, however long the device meant to wait; a little later if nothing came of it."""
        device.wait_until = 0.0
        done = call()
        assert not device.needs, f"a device stopped: {device.needs}"
        if device.wait_until:
            time.sleep(0.02)
        return done

    @staticmethod
    def _never() -> tuple[str, str]:
        raise AssertionError("nobody was cloned and nothing restored: a device goes on as it was")


class Crew:
    """Several phones at once."""

    def __init__(self, people: Sequence[Someone], url: str, seed: int) -> None:
        self.phones = [
            Phone(who, Heard(OverHttp(url, timeout_s=20)), Random(seed * 100 + i)) for i, who in enumerate(people)
        ]
        self._is_over = Event()
        self._pool = ThreadPoolExecutor(len(self.phones))
        self._lives: list[Future[None]] = []

    def begin(self, ground: Ground, common: UUID) -> None:
        """Let all of them live."""
        self._lives = [self._pool.submit(phone.live, ground, common, self._is_over) for phone in self.phones]

    def wait_for_progress(self) -> None:
        """Wait until each phone was told something new. Raises what ended one of them."""
        before = [len(phone.heard.acknowledged) for phone in self.phones]

        def has_come() -> bool:
            self._raise_what_ended()
            return all(len(p.heard.acknowledged) > n for p, n in zip(self.phones, before, strict=True))

        wait_until(has_come, 90)

    def wait_for_a_push(self) -> None:
        """Wait until one of them pushes."""
        while not any(phone.heard.is_pushing for phone in self.phones):
            self._raise_what_ended()
            time.sleep(0.001)

    def _raise_what_ended(self) -> None:
        for life in self._lives:
            if life.done():
                life.result()

    def end(self) -> None:
        """Let them hand over what is left, and catch up. Raises what ended one of them."""
        self.stop()
        for life in self._lives:
            life.result()
        for phone in self.phones:
            phone.catch_up()

    def stop(self) -> None:
        """Let nothing more be entered, and wait until all is handed over or cannot be."""
        self._is_over.set()
        self._pool.shutdown()

    def tell(self, **numbers: Any) -> None:
        """Write the numbers of a run to the log."""
        heard = [phone.heard for phone in self.phones]
        told = [results for each in heard for results in each.acknowledged.values()]
        numbers |= {
            "pushes": sum(each.pushes for each in heard), "unanswered": sum(each.unanswered for each in heard),
            "acknowledged": len(told),
            "taken before they were told": sum("replayed" in results[0] for results in told),
        }  # fmt: skip
        log.info(", ".join(f"{name} {number}" for name, number in numbers.items()))
