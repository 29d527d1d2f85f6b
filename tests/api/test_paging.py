"""Lists in pages: nothing skipped, nothing twice, a constant number of statements."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.api.asking import get
from tests.api.routes import ask, routes, stage
from tests.api.scene import Scene

LISTS = [route for route in routes() if route.is_records and route.op == "list"]


@pytest.fixture
def seven(coordinator):
    return sorted(str(coordinator.does("property", "create", name=f"Place {n}").record.id) for n in range(7))


def walk(coordinator, page, link):
    while page is not None:
        yield [record["id"] for record in page["results"]]
        page = coordinator.client().get(page[link]).json() if page[link] else None


@pytest.mark.parametrize("limit", [1, 2, 3, 6, 7, 8])
def test_pages_forwards_and_back_give_every_record_once(coordinator, seven, limit):
    first = get(coordinator, "properties", limit=limit).json()
    forwards = list(walk(coordinator, first, "next"))
    last = first
    while last["next"]:
        last = coordinator.client().get(last["next"]).json()

    backwards = list(walk(coordinator, last, "previous"))

    assert [id for page in forwards for id in page] == seven
    assert sorted(id for page in backwards for id in page) == seven
    assert all(page == sorted(page) for page in backwards)
    assert first["previous"] is None
    assert max(map(len, forwards)) <= limit


def test_a_link_keeps_the_filters(coordinator, seven):
    first = get(coordinator, "properties", limit=1, name="Place").json()

    assert "name=Place" in first["next"]
    assert "limit=1" in first["next"]


def test_a_page_of_a_list_that_shrank_is_empty(coordinator, seven):
    beyond = get(coordinator, "properties", cursor="after.ffffffff-ffff-7fff-bfff-ffffffffffff").json()

    assert beyond == {"next": None, "previous": None, "results": []}


def test_a_list_costs_three_statements_whatever_is_on_it(coordinator):
    """Who asks, in which group, the records; one more for the record that a part belongs to."""
    scene = Scene(coordinator)
    coordinator.client().get("/api/v1/me")  # it is noted that the device was seen
    for route in LISTS:
        stage(route, scene)
        scene.id(route.view.cls.model.kind)

        with CaptureQueriesContext(connection) as captured:
            listed = ask(route, scene, coordinator).json()["results"]

        assert listed
        assert len(captured) == (4 if route.view.initkwargs["is_below"] else 3), route.name
