"""What the people of the demo said, each at a time: mutations whose ids follow from the keys in the files."""

from collections.abc import Iterator
from datetime import datetime
from itertools import groupby
from pathlib import Path
from typing import Any, NamedTuple
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

import orjson
from django.conf import settings

from stewardship.sync.reading import Sent
from stewardship.sync.reference import reference_id

FOLDER = Path(settings.BASE_DIR) / "fixtures" / "demo"
NAMESPACE = UUID("8a4b1f0e-3c52-5d8e-9a61-2b7f0c9d4e13")
"""Ours: every id of the demo is made from it and a key."""

GROUP_ID = uuid5(NAMESPACE, "group")

Values = dict[str, Any]


def read(name: str) -> Any:
    """Return the JSON of one of the demo's files."""
    return orjson.loads((FOLDER / name).read_bytes())


def id_of(type: str, key: str) -> UUID:
    """Return the id of the record that a key in the files stands for."""
    return uuid5(NAMESPACE, f"{type}/{key}")


def reference(type: str, key: str) -> str:
    """Return the id of a reference row in the demo's group."""
    return str(reference_id(GROUP_ID, type, key))


def quantity(text: str) -> Values:
    """Return a quantity as it is sent; ``text`` is a value and a unit, such as ``12.5 fl_oz``."""
    value, unit = text.split()
    return {"value": value, "unit": unit}


class Event(NamedTuple):
    """Something that somebody said, and when it reached the service."""

    at: datetime
    by: str
    key: str
    sent: Sent


class Story:
    """Collects what was said. ``member_ids``: each person's key -> their member's id."""

    def __init__(self, zone: str, people: list[Values], member_ids: dict[str, UUID]) -> None:
        self.zone = ZoneInfo(zone)
        self.member_ids = member_ids
        self.with_phone = {person["key"] for person in people if person.get("email")}
        self.youth = {person["key"] for person in people if person.get("youth")}
        self.events: list[Event] = []

    def member(self, key: str) -> str:
        """Return the id of a person's member."""
        return str(self.member_ids[key])

    def moment(self, text: str, on: str = "") -> datetime:
        """Return a local time of the group with its offset: ``2026-05-09T08:30``, or ``08:30`` on the date ``on``."""
        return datetime.fromisoformat(text if "T" in text else f"{on}T{text}").replace(tzinfo=self.zone)

    def says(self, by: str, at: datetime, type: str, key: str, /, **values: Any) -> None:
        """Let somebody enter a new record."""
        told = {"id": str(id_of(type, key)), **_plain(values)}
        mid = uuid5(NAMESPACE, f"{type}/{key}/create")
        self._keep(by, at, key, Sent(mid=mid, type=type, op="create", set=told, at=at))

    def does(self, by: str, at: datetime, type: str, op: str, key: str, *, reason: str = "", **values: Any) -> None:
        """Let somebody do something with a record that stands."""
        mid = uuid5(NAMESPACE, f"{type}/{key}/{op}/{at:%Y-%m-%dT%H:%M}")
        told = _plain(values)
        self._keep(by, at, key, Sent(mid=mid, type=type, op=op, id=id_of(type, key), set=told, reason=reason, at=at))

    def _keep(self, by: str, at: datetime, key: str, sent: Sent) -> None:
        self.events.append(Event(at, by, key, sent))

    def pushes(self) -> Iterator[list[Event]]:
        """Give the events in the order of time, together what one person handed over at once."""
        in_order = sorted(self.events, key=lambda event: event.at)
        for _, events in groupby(in_order, key=lambda event: (event.at, event.by)):
            yield list(events)


def _plain(values: Values) -> Values:
    """Return the values as JSON has them; what is not stated is not sent."""
    stated = {name: value for name, value in values.items() if value is not None}
    return {name: value.isoformat() if isinstance(value, datetime) else value for name, value in stated.items()}
