"""A phone that hands in days of work over HTTP and pulls: real requests, one connection that stays open."""

import gzip
import http.client
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import count, islice
from typing import Any

import orjson

from stewardship.journal.ids import new_id
from workers.bench.databases import BenchFailed

YEARS, EVERY = timedelta(days=3 * 365), timedelta(hours=4)
"""How long ago the first batch was mixed, and how long after one the next."""

LINES = 8
"""Lines of use that are drawn from one batch in one session."""


class Phone:
    """One device of the scene's group."""

    def __init__(self, port: int, scene: dict[str, Any]) -> None:
        self._server = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
        self._scene, self._numbers, self._work = scene, count(1), _work(scene)
        self._headers = {"Authorization": f"Bearer {scene['token']}", "Content-Type": "application/json"}

    def has_waiting(self, mutations: int) -> bytes:
        """Return the body of a push of what was done next."""
        waiting = [each | {"n": next(self._numbers)} for each in islice(self._work, mutations)]
        told = {"device": self._scene["device"], "sent_at": _now().isoformat(), "mutations": waiting}
        return orjson.dumps(told)

    def push(self, body: bytes) -> bytes:
        """Hand in what was done, and return the answer."""
        return self._posts("push", body, {})

    def pull(self, cursor: str | None, *, in_gzip: bool = False) -> bytes:
        """Pull a page as large as it may be, and return its bytes as they came."""
        coding = {"Accept-Encoding": "gzip" if in_gzip else "identity"}
        return self._posts("pull", orjson.dumps({"cursor": cursor}), coding)

    def close(self) -> None:
        """End the connection."""
        self._server.close()

    def _posts(self, call: str, body: bytes, more: dict[str, str]) -> bytes:
        self._server.request("POST", f"/api/v1/groups/{self._scene['group']}/sync/{call}", body, self._headers | more)
        answer = self._server.getresponse()
        told = answer.read()
        if answer.status != 200:
            raise BenchFailed(f"{call} was answered {answer.status}: {told[:400].decode(errors='replace')}")
        return told


def check_taken(answer: bytes) -> dict[str, Any]:
    """Return what a push was answered. Raises BenchFailed unless all of it was applied: else other work is timed."""
    told: dict[str, Any] = orjson.loads(answer)
    if other := [result for result in told["results"] if result["outcome"] != "applied"]:
        raise BenchFailed(f"{len(other)} mutations were not applied, the first: {other[0]}")
    return told


def end_of(page: bytes) -> dict[str, Any]:
    """Return the end line of a page, plain or in gzip. Raises BenchFailed if it has none."""
    end: dict[str, Any] = orjson.loads(_lines(page)[-1])
    if end["k"] != "end":
        raise BenchFailed("A page came without its end.")
    return end


def span_of(page: bytes) -> tuple[int, int]:
    """Return the first and last number of what a page tells. Raises BenchFailed if it tells nothing."""
    puts = _lines(page)[1:-1]
    if not puts:
        raise BenchFailed("A page that should tell something is empty.")
    return orjson.loads(puts[0])["q"], orjson.loads(puts[-1])["q"]


def check_empty(page: bytes) -> None:
    """Refuse a page that tells anything. Raises BenchFailed."""
    if len(_lines(page)) != 2 or end_of(page)["more"]:
        raise BenchFailed("There was something new where nothing should have been.")


def _lines(page: bytes) -> list[bytes]:
    plain = gzip.decompress(page) if page.startswith(b"\x1f\x8b") else page
    return plain.splitlines()


def _work(scene: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Give what a crew enters, day after day: a batch is mixed, a session begun, lines of use are read off."""
    first = _now() - YEARS
    for place in count():
        began = first + place * EVERY
        batch, session = str(new_id()), str(new_id())
        yield _new(
            "batch",
            began,
            id=batch,
            mixed_at=began.isoformat(),
            mixed_by=scene["member"],
            mix=_fl_oz("64"),
            how_known="measured",
            carrier="oil",
            parts=[{"product": scene["product"], "volume": _fl_oz("12.8")}],
        )
        yield _new(
            "session",
            began,
            id=session,
            unit=scene["units"][place % len(scene["units"])],
            started_at=(began + timedelta(minutes=5)).isoformat(),
            applicator=scene["member"],
        )
        for i in range(LINES):
            yield _new(
                "application",
                began + timedelta(minutes=10 + i),
                id=str(new_id()),
                session=session,
                batch=batch,
                species=scene["species"],
                method="basal_bark",
                mix=_fl_oz("7"),
                how_known="read_off_container",
                stems=9 + i,
                note=f"{9 + i} stems along the levee",
            )


def _new(type: str, at: datetime, **values: Any) -> dict[str, Any]:
    return {"mid": str(new_id()), "type": type, "op": "create", "at": at.isoformat(), "set": values}


def _fl_oz(value: str) -> dict[str, str]:
    return {"value": value, "unit": "fl_oz"}


def _now() -> datetime:
    return datetime.now(UTC)
