"""Devices that enter and push all the time, each in a thread of its own; and what the service told each of them."""

import json
import logging
import time
from collections import Counter
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
PULLS = 0.2
"""How likely a pull is after a push."""
PATIENCE_S = 100

log = logging.getLogger(__name__)


@dataclass
class Heard:
    """A transport that remembers what was pushed and what was acknowledged, whatever the device makes of it."""

    transport: Transport
    ends: set[int] = field(default_factory=set)
    """The last number of each push that was sent."""
    acknowledged: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    """Every outcome that was told of a mutation, by its id."""
    answers: Counter[int | str] = field(default_factory=Counter)
    """How often each status came back from a push, or nothing."""
    is_pushing: bool = False

    def send(self, method: str, path: str, headers: Mapping[str, str], body: bytes) -> Answer:
        """Carry a request. Raises NoAnswer."""
        if not path.endswith("/push"):
            return self.transport.send(method, path, headers, body)
        self.ends.update(each["n"] for each in json.loads(body)["mutations"][-1:])
        self.is_pushing = True
        try:
            answer = self.transport.send(method, path, headers, body)
            told = answer.said()
        except NoAnswer:
            self.answers["none"] += 1
            raise
        finally:
            self.is_pushing = False
        self.answers[answer.status] += 1
        for result in told.get("results", ()):
            self.acknowledged.setdefault(result["mid"], []).append(result)
        return answer


@dataclass
class Phone:
    """The reference client in somebody's hand, and what stood on it in the end."""

    who: Someone
    heard: Heard
    random: Random
    pause_s: float = 0.02
    in_vain_since: float = 0.0
    entered: dict[str, dict[str, Any]] = field(default_factory=dict)
    copy: dict[str, tuple[str, int, str | None]] = field(default_factory=dict)
    kept: bytes = b""

    def begin(self, ground: Ground, common: UUID) -> None:
        """Begin with an empty copy, and fill it."""
        self.device = self._device()
        self._try(self.device.pull)
        self.enters = Enters(self.device, ground, common, self.random)

    def hand_in(self, fewest: int, most: int) -> None:
        """Enter so many mutations, and push once; pull now and then."""
        self.enters.enter(self.random.randint(fewest, most))
        self._try(self.device.push)
        if self.random.random() < PULLS:
            self._try(self.device.pull)

    def finish(self) -> None:
        """Hand over what is left."""
        while self.device.store.outbox(1):
            self._try(self.device.push)
        self.entered = self.device.store.entered()
        self.kept = self.device.store.db.serialize()

    def live(self, ground: Ground, common: UUID, is_over: Event) -> None:
        """Enter, push and pull in a thread of its own until it is over."""
        self.begin(ground, common)
        while not is_over.is_set():
            self.hand_in(AT_LEAST, NOW_AND_THEN if self.random.random() < 0.1 else AT_MOST)
        self.finish()

    def catch_up(self) -> None:
        """Pull until the copy is whole."""
        self.device = self._device()  # another thread's store is not to be read from here
        self.device.store.db.deserialize(self.kept)
        while not self._try(self.device.pull):
            pass
        self.copy = self.device.store.records()

    def _device(self) -> Device:
        device = Device(
            Store(":memory:"), self.heard, str(self.who.group_id), now=timezone.now, ticks_s=lambda: 0.0,
            random=self.random,
        )  # fmt: skip
        device.signed_in(str(self.who.device.id), self.who.token)
        return device

    def _try(self, call: Callable[[], Any]) -> Any:
        """Push or pull, however long the device meant to wait; it waits a little if nothing came of it."""
        self.device.wait_until = 0.0
        done = call()
        assert not self.device.needs, f"a device stopped: {self.device.needs}"
        if self.device.wait_until:
            self.in_vain_since = self.in_vain_since or time.monotonic()
            assert time.monotonic() < self.in_vain_since + PATIENCE_S, f"nothing came of anything for {PATIENCE_S} s"
            time.sleep(self.pause_s)
        else:
            self.in_vain_since = 0.0
        return done


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

        wait_until(has_come, PATIENCE_S)

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


def tell(phones: Sequence[Phone], **numbers: Any) -> None:
    """Write the numbers of a run to the log."""
    told = [results for phone in phones for results in phone.heard.acknowledged.values()]
    answers: Counter[int | str] = sum((phone.heard.answers for phone in phones), Counter())
    numbers |= {
        "pushes": answers.total(), "answers": dict(answers),
        "acknowledged": len(told), "taken before they were told": sum("replayed" in results[0] for results in told),
        "outcomes": dict(outcomes(phones)),
    }  # fmt: skip
    log.info(", ".join(f"{name} {number}" for name, number in numbers.items()))


def outcomes(phones: Sequence[Phone]) -> Counter[str]:
    """Return how often each outcome was told."""
    return Counter(told[0]["outcome"] for phone in phones for told in phone.heard.acknowledged.values())
