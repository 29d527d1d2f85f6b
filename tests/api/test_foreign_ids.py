"""Another group's id is answered like one that nobody has, wherever an id can be put.

Every verb's references come from its struct, every id in an address and every filter from the routes: whatever is
added is tried here by itself. The one exception is the id that a client makes for a new record (heart of the design:
``id_taken``), which the last test states.
"""

from typing import Any
from uuid import uuid4

import pytest

from api.filtering import Id
from stewardship.errors import Unavailable
from stewardship.journal.references import references
from stewardship.sync.verbs import VERBS
from tests.api.routes import NO_IDS, app_of, ask, client_of, place, routes, stage
from tests.api.samples import IN_LISTS
from tests.api.scene import Scene
from tests.cast import sent

APPS = sorted({verb.record._meta.app_label for verb in VERBS.values()})
ROUTES = routes()


ROUTES_OF = {app: [route for route in ROUTES if app_of(route) == app] for app in {*map(app_of, ROUTES)}}


def verbs_of(app: str) -> list[tuple[str, str]]:
    return [key for key, verb in VERBS.items() if verb.record._meta.app_label == app]


def put(body: dict[str, Any], path: str, id: str) -> dict[str, Any]:
    """Return a body with this id at the path of a reference, such as ``units[]`` or ``parts[].product``."""
    name, _, rest = path.partition(".")
    stem = name.removesuffix("[]")
    if not rest:
        return body | {stem: [id] if name.endswith("[]") else id}
    if name.endswith("[]"):
        first, *others = body.get(stem) or [IN_LISTS[stem]]
        return body | {stem: [put(first, rest, id), *others]}
    return body | {stem: put(body[stem], rest, id)}


def answer(response) -> tuple[int, Any, dict[str, str]]:
    return response.status_code, response.json(), dict(response.headers)


@pytest.mark.parametrize("app", APPS)
def test_a_record_named_by_a_verb_is_refused_alike_by_both_doors(cast, app):
    own, foreign = Scene(cast.coordinator), Scene(cast.stranger)
    for kind, op in verbs_of(app):
        with own.taken_back(), foreign.taken_back():
            fields = own.fields(kind, op)
            own.prepare(kind, op)
            target = None if op == "create" else own.target(kind, op)
            for reference in references(VERBS[kind, op].fields):
                ids = foreign.id(reference.model.kind), str(uuid4())
                bodies = [put(fields, reference.path, id) for id in ids]
                assert _pushed(own, kind, op, target, bodies[0]) == _pushed(own, kind, op, target, bodies[1]) == HELD
                assert _performed(own, kind, op, target, bodies[0]) == _performed(own, kind, op, target, bodies[1])


@pytest.mark.parametrize("app", APPS)
def test_the_target_of_a_verb_is_refused_alike_by_both_doors(cast, app):
    own, foreign = Scene(cast.coordinator), Scene(cast.stranger)
    for kind, op in [key for key in verbs_of(app) if key[1] != "create"]:
        with own.taken_back(), foreign.taken_back():
            fields, ids = own.fields(kind, op), (foreign.target(kind, op), str(uuid4()))
            assert _pushed(own, kind, op, ids[0], fields) == _pushed(own, kind, op, ids[1], fields) == HELD
            assert _performed(own, kind, op, ids[0], fields) == _performed(own, kind, op, ids[1], fields)


HELD = {"outcome": "held", "code": Unavailable.code, "detail": Unavailable.message}


def _pushed(scene: Scene, kind: str, op: str, id: str | None, fields: dict[str, Any]) -> dict[str, Any]:
    """Return what a push is answered, without the mutation's id."""
    device = scene.coordinator
    with scene.taken_back():
        reason = fields.get("reason", "")
        values = {name: value for name, value in fields.items() if name != "reason"}
        (result,) = device.pushes(sent(kind, op, values, id=id, reason=reason, n=1)).results
    return {name: result[name] for name in result if name not in ("mid", "to_settle")}


def _performed(scene: Scene, kind: str, op: str, id: str | None, fields: dict[str, Any]) -> Any:
    """Return what REST answers; None for a verb that has no address."""
    route = next((r for r in ROUTES if _is_of(r, kind, op)), None)
    if route is None:
        return None
    with scene.taken_back():
        return answer(ask(route, scene, scene.coordinator, fields=fields, **_named(kind, id)))


def _named(kind: str, id: str | None) -> dict[str, str]:
    return {"group" if kind == "group" else "id": id} if id else {}


def _is_of(route, kind: str, op: str) -> bool:
    return route.is_records and route.method != "get" and (route.view.cls.model.kind, route.op) == (kind, op)


NO_ID = ("no-id", "\x00", "{" + str(uuid4()) + "}", "0" * 36)
"""What stands where an id belongs: one of them, by turns, at each route."""


@pytest.mark.parametrize("app", sorted(ROUTES_OF))
def test_an_id_in_an_address_is_refused_alike(cast, app):
    own, foreign = Scene(cast.coordinator), Scene(cast.stranger)
    for turn, route in enumerate(ROUTES_OF[app]):
        with own.taken_back(), foreign.taken_back():
            stage(route, own), stage(route, foreign)
            ids = {name: id for name, id in place(route, foreign, cast.stranger).items() if name not in NO_IDS}
            for name, theirs in ids.items():
                others = [theirs, str(uuid4()), NO_ID[turn % len(NO_ID)]]
                answers = [_asked(route, own, name, other) for other in others]
                assert answers == [answers[0]] * len(others)
                assert answers[0][0] == 404


def _asked(route, scene: Scene, name: str, id: str) -> Any:
    with scene.taken_back():
        return answer(ask(route, scene, scene.coordinator, **{name: id}))


@pytest.mark.parametrize("app", APPS)
def test_an_id_in_a_filter_finds_nothing_alike(cast, app):
    own, foreign = Scene(cast.coordinator), Scene(cast.stranger)
    for route in [route for route in ROUTES_OF[app] if route.op == "list"]:
        stage(route, own), own.id(route.view.cls.model.kind)
        theirs = [foreign.id(kind) for kind in ("member", "property", "unit", route.view.cls.model.kind)]
        theirs += [foreign.own, str(cast.stranger.person.id), str(uuid4())]
        client, address = client_of(route, own.coordinator), ask(route, own, own.coordinator).wsgi_request.path
        for name, filter in route.view.cls.filterset_class.base_filters.items():
            if isinstance(filter, Id):
                assert [_listed(client.get(address, {name: id})) for id in theirs] == [(200, [])] * len(theirs)


def _listed(response) -> tuple[int, Any]:
    return response.status_code, response.json()["results"]


@pytest.mark.parametrize("app", APPS)
def test_the_id_of_a_new_record_is_the_one_exception_it_is_taken_whoever_has_it(cast, app):
    own, foreign = Scene(cast.coordinator), Scene(cast.stranger)
    for kind, op in [key for key in verbs_of(app) if key[1] == "create"]:
        theirs = foreign.id(kind)
        own.prepare(kind, op)
        fields = own.fields(kind, op)

        taken = _pushed(own, kind, op, None, fields | {"id": theirs})
        free = _pushed(own, kind, op, None, fields | {"id": str(uuid4())})

        assert (taken["outcome"], taken["code"]) == ("held", "id_taken")
        assert free["outcome"] == "applied"
