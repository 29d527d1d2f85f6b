"""Who may ask what: access.csv is the reviewed table, one row for each route and method."""

import csv
from itertools import groupby
from pathlib import Path
from types import SimpleNamespace

import pytest

from api import records
from tests.api.routes import Route, app_of, ask, routes, stage
from tests.api.scene import Scene
from tests.cast import AT

WHO = ("anonymous", "stranger", "volunteer", "coordinator", "reviewer", "former")
TABLE = {
    (row["route"], row["method"]): {who: int(row[who]) for who in WHO}
    for row in csv.DictReader((Path(__file__).parent / "access.csv").read_text().splitlines())
}
ROUTES = sorted(routes(), key=lambda route: (app_of(route), route.name, route.method))
BY_APP = {name: list(found) for name, found in groupby(ROUTES, key=app_of)}


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    """Let records be written by the clock of the tests, since samples tell of its day."""
    monkeypatch.setattr(records, "timezone", SimpleNamespace(now=lambda: AT))


def test_every_route_and_method_has_a_row():
    assert sorted((route.name, route.method) for route in ROUTES) == sorted(TABLE)


@pytest.mark.parametrize("app", BY_APP)
def test_each_person_gets_the_answer_that_the_table_says(cast, app):
    scene = Scene(cast.coordinator)

    found = {(route.name, route.method): _answers(route, scene, cast) for route in BY_APP[app]}

    assert found == {key: TABLE[key] for key in found}


def _answers(route: Route, scene: Scene, cast) -> dict[str, int]:
    answers = {}
    with scene.taken_back():
        stage(route, scene)
        for who in WHO:
            with scene.taken_back():
                answers[who] = ask(route, scene, getattr(cast, who, None)).status_code
    return answers
