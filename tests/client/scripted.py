"""A service that says what a test tells it to say, and a device that speaks to it."""

import gzip
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from random import Random
from typing import Any

from tests.client.device import Device
from tests.client.store import Store
from tests.client.transport import Answer, NoAnswer

Says = Answer | NoAnswer | Callable[[dict[str, Any]], Answer]


@dataclass
class Scripted:
    """Answers each call with the next thing that stands in its script; then as a service with nothing to say does."""

    script: list[Says] = field(default_factory=list)
    asked: list[tuple[str, dict[str, Any]]] = field(default_factory=list)
    """Call and body of each request."""
    headers: list[Mapping[str, str]] = field(default_factory=list)

    def send(self, method: str, path: str, headers: Mapping[str, str], body: bytes) -> Answer:
        """Return what the script says."""
        call, told = path.rsplit("/", 1)[1], json.loads(body or "{}")
        self.asked.append((call, told))
        self.headers.append(headers)
        says = self.script.pop(0) if self.script else _well(call)
        if isinstance(says, NoAnswer):
            raise says
        return says(told) if callable(says) else says

    def calls(self, call: str) -> list[dict[str, Any]]:
        """Return the bodies of one call."""
        return [body for name, body in self.asked if name == call]


def _well(call: str) -> Says:
    return takes_all if call != "pull" else page()


def answer(status: int, said: Any = None, **headers: str) -> Answer:
    """Return an answer in JSON."""
    told = {name.replace("_", "-"): value for name, value in headers.items()}
    return Answer(status, told, json.dumps(said if said is not None else {}).encode())


def refuses(status: int, code: str, **facts: Any) -> Answer:
    """Return a refusal as the service words it."""
    return answer(status, {"status": status, "code": code, "detail": "…"} | facts)


def takes_all(body: dict[str, Any]) -> Answer:
    """Answer a push whose entries are all taken, or a rescue, which is kept under an id of its own."""
    told = body.get("mutations", [body])
    results = [{"mid": each.get("mid", "its text"), "outcome": "applied", "seq": each["n"]} for each in told]
    last_n = told[-1]["n"] if told else 99
    return answer(200, {"last_n": last_n, "head": last_n, "results": results})


def takes(*outcomes: str) -> Callable[[dict[str, Any]], Answer]:
    """Answer a push with these outcomes; none for the entries after them."""

    def says(body: dict[str, Any]) -> Answer:
        pairs = zip(body["mutations"], outcomes, strict=False)
        return answer(200, {"last_n": 9, "head": 9, "results": [{"mid": m["mid"], "outcome": o} for m, o in pairs]})

    return says


def page(*puts: dict[str, Any], cursor: str = "c", more: bool = False, **told: Any) -> Answer:
    """Return a page of a pull, in gzip as it is asked for."""
    return Answer(200, {"content-encoding": "gzip"}, gzip.compress(lines(*puts, cursor=cursor, more=more, **told)))


def lines(*puts: dict[str, Any], cursor: str = "c", more: bool = False, **told: Any) -> bytes:
    """Return the lines of a page."""
    told = {"epoch": "e", "server_time": "2027-05-01T15:00:00.000000Z", "head": 9, "head_hash": "h"} | told
    first = {"k": "start", "epoch": told["epoch"], "schema": 1, "server_time": told["server_time"]}
    last = {"k": "end", "cursor": cursor, "more": more, "poll_after_s": 900}
    last |= {"head": told["head"], "head_hash": told["head_hash"]}
    return b"".join(json.dumps(line).encode() + b"\n" for line in [first, *puts, last])


def put(id: str, rev: int = 1, q: int = 1, **says: Any) -> dict[str, Any]:
    """Return the line of a state."""
    return {"k": "put", "q": q, "t": "property", "id": id, "r": rev, "d": says or {"name": id}}


@dataclass
class Clock:
    """A clock that a test sets."""

    now: datetime = datetime(2027, 5, 1, 15, 0, tzinfo=UTC)
    ticks_s: float = 0.0


def device(*script: Says, store: Store | None = None, **more: Any) -> tuple[Device, Scripted, Clock]:
    """Return a signed-in device, the service that it speaks to, and its clock."""
    service, clock = Scripted(list(script)), Clock()
    made = Device(
        store or Store(":memory:"), service, "group", now=lambda: clock.now, ticks_s=lambda: clock.ticks_s,
        random=Random(1), **more,
    )  # fmt: skip
    if made.store["device"] is None:
        made.signed_in("device 1", "token 1")
    return made, service, clock


def enters(device, count, **more):
    """Let somebody name places; return the ids of what they entered."""
    return [device.enter("property", "create", {"name": str(i)}, **more) for i in range(count)]


def waiting(device):
    """Return the ids of what is in the outbox."""
    return [each.mid for each in device.store.outbox()]
