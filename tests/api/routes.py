"""Every route of the API, and a valid request to each."""

import json
from collections.abc import Iterator
from typing import Any, NamedTuple

from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from api.records import GroupRecords
from tests.api.samples import A_PICTURE, QUERIES
from tests.api.scene import Scene
from tests.cast import Someone

NOT_COUNTED = {"options", "head"}
"""OPTIONS is answered 405 everywhere, HEAD like GET."""

BODILESS = {"get", "delete"}

SESSIONS_ONLY = {("devices", "post")}
"""Routes that a device's token does not open: asked with a session."""


class Route(NamedTuple):
    """One method at one address."""

    name: str
    method: str
    view: Any

    @property
    def is_records(self) -> bool:
        return issubclass(self.view.cls, GroupRecords)

    @property
    def op(self) -> str:
        """Return what is done with a record."""
        action = self.view.actions[self.method]
        return self.view.initkwargs["op"] if action == "act" else action


def routes() -> list[Route]:
    """Return everything under /api/."""
    return [
        Route(pattern.name, method, pattern.callback)
        for address, pattern in _patterns(get_resolver().url_patterns)
        if address.startswith("api/")
        for method in _methods(pattern.callback)
    ]


def _patterns(patterns: Any, before: str = "") -> Iterator[tuple[str, URLPattern]]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from _patterns(pattern.url_patterns, before + str(pattern.pattern))
        else:
            yield before + str(pattern.pattern), pattern


def _methods(callback: Any) -> list[str]:
    found = getattr(callback, "actions", None) or {m.lower() for m in callback.cls().allowed_methods}
    return sorted(set(found) - NOT_COUNTED)


def app_of(route: Route) -> str:
    """Return the app whose records a route is about, or that it is about none's alone."""
    return route.view.cls.model._meta.app_label if route.is_records else "several"


def stage(route: Route, scene: Scene) -> None:
    """Enter what a route needs to be there."""
    place(route, scene, None)
    if route.is_records and route.method not in BODILESS:
        scene.fields(route.view.cls.model.kind, route.op)


def ask(
    route: Route, scene: Scene, someone: Someone | None, fields: dict[str, Any] | None = None, **replaced: str
) -> Any:
    """Send a valid request to a route; ``fields`` takes the place of the body, ``replaced`` of ids in the address."""
    body, headers = {}, {}
    found = place(route, scene, someone)
    if route.is_records and route.method not in BODILESS:
        body = fields or scene.fields(route.view.cls.model.kind, route.op)
        headers = _if_match(route, found) if route.op == "amend" else {}
    elif route.method not in BODILESS:
        body = OTHERS[route.name](scene, someone)
    query = QUERIES.get(f"{route.name} {route.method}", QUERIES.get(route.name, ""))
    address = reverse(route.name, kwargs=found | replaced) + (query if isinstance(query, str) else query(scene))
    return send(client_of(route, someone), route.method, address, body, headers)


def send(client: Client, method: str, address: str, body: Any = None, headers: dict[str, str] | None = None) -> Any:
    if method in BODILESS:
        return client.generic(method.upper(), address)
    if isinstance(body, bytes):
        return client.generic(method.upper(), address, body, "application/octet-stream", headers=headers)
    return client.generic(method.upper(), address, json.dumps(body or {}), "application/json", headers=headers)


def client_of(route: Route, someone: Someone | None) -> Client:
    if someone is None:
        return Client()
    return someone.signed_in() if (route.name, route.method) in SESSIONS_ONLY else someone.client()


def place(route: Route, scene: Scene, someone: Someone | None) -> dict[str, str]:
    """Return the ids in a route's address."""
    wanted = get_resolver("api.urls").reverse_dict[route.name][0][0][1]
    place = {"group": str(scene.coordinator.group_id)}
    if not route.is_records:
        place |= PLACES[route.name](scene, someone) if route.name in PLACES else {}
        return {name: place[name] for name in wanted}
    view = route.view
    kind = view.cls.model.kind
    if "parent" in wanted:
        place["parent"] = scene.id(view.cls.below.model.kind)
    if "id" in wanted or kind == "group":
        place["id"] = scene.target(kind, route.op)
    elif route.op == "create":
        scene.prepare(kind, "create")
    return {name: place[name] for name in wanted}


def _if_match(route: Route, place: dict[str, str]) -> dict[str, str]:
    record = route.view.cls.model._default_manager.get(id=place.get("id", place["group"]))
    return {"If-Match": f'"{record.rev}"'}


NO_IDS = {"number", "sha256"}
"""Parts of an address that are no ids; the tests of files say how a foreign file is answered."""

PLACES: dict[str, Any] = {
    "attachments-one": lambda scene, someone: {"sha256": scene.file()},
    "devices-one": lambda scene, someone: {"id": str((someone or scene.coordinator).device.id)},
    "devices-revoke": lambda scene, someone: {"id": str((someone or scene.coordinator).device.id)},
    "calendar-feeds-end": lambda scene, someone: {"id": scene.feed(someone)},
    "calendar-feeds-renew": lambda scene, someone: {"id": scene.feed(someone)},
    "batches-balance": lambda scene, someone: {"id": scene.id("batch")},
    "work-days-close_out": lambda scene, someone: {"id": scene.id("work_day")},
    "work-days-weather": lambda scene, someone: {"id": scene.id("work_day")},
    "batches-tag": lambda scene, someone: {"id": scene.id("batch")},
    "applications-verdicts": lambda scene, someone: {"id": scene.id("application")},
    "units-area-years": lambda scene, someone: {"id": scene.id("unit")},
    "lots-ledger": lambda scene, someone: {"id": scene.id("lot")},
    "jobs": lambda scene, someone: {"id": scene.job()},
    "leftovers-lacking": lambda scene, someone: {"id": scene.id("leftover")},
    "leftovers-tag": lambda scene, someone: {"id": scene.id("leftover")},
    "reconciliations-latest": lambda scene, someone: scene.reconciled() or {},
    "verifications-latest": lambda scene, someone: scene.verified() or {},
    "season-reports-version": lambda scene, someone: {"id": scene.compiled(), "number": "1"},
}
"""Name of a route that is no record's own -> what stands in its address."""

OTHERS: dict[str, Any] = {
    "attachments-one": lambda scene, someone: A_PICTURE,
    "devices": lambda scene, someone: {"name": "phone"},
    "devices-one": lambda scene, someone: {"name": "the old phone"},
    "devices-revoke": lambda scene, someone: {},
    "calendar-feeds": lambda scene, someone: {"scope": "group"},
    "calendar-feeds-end": lambda scene, someone: {},
    "calendar-feeds-renew": lambda scene, someone: {},
    "sync-push": lambda scene, someone: {
        "device": str((someone or scene.coordinator).device.id),
        "sent_at": "2027-05-01T15:00:00Z",
        "mutations": [],
    },
    "sync-pull": lambda scene, someone: {},
    "sync-rescue": lambda scene, someone: {
        "device": str((someone or scene.coordinator).device.id),
        "sent_at": "2027-05-01T15:00:00Z",
        "n": 1,
        "text": "{",
    },
    "reconciliations": lambda scene, someone: {},
    "verifications": lambda scene, someone: {},
    "mixes-plan": lambda scene, someone: {
        "make": {"value": "64", "unit": "fl_oz"},
        "carrier": "oil",
        "parts": [{"product": scene.id("product"), "strength": {"value": "20", "basis": "product_v_v"}}],
    },
}
"""What is sent to the routes that are no records' own."""
