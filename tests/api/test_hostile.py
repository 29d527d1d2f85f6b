"""What a careless or hostile client may send: refused in words or taken whole, never a fault of ours."""

import json
from uuid import uuid4

import pytest

from tests.api.asking import at, get

NEVER_A_FAULT = range(200, 500)
HUGE = "9" * 400
TEXTS = [
    "", " ", "\t\n", "a" * 201, "a" * 100_000, "\u202eevil", "\ufffe\uffff", "Ünïcödé 🌿", "' OR 1=1 --", "<script>",
    "{{ 7*7 }}", "%s%n", "../../etc/passwd", "=1+1", "\x1b[31m", "\x7f", "\u2028", "nul\\u0000", "\r\nSet-Cookie: x=1",
]  # fmt: skip
VALUES = [None, True, 0, -1, 1.5, 1e300, 2**53, [], [[]], {}, {"a": 1}, [None] * 1000, HUGE]
BOUNDARIES = [
    {"type": "Point", "coordinates": [0, 0]},
    {"type": "Polygon"},
    {"type": "Polygon", "coordinates": []},
    {"type": "Polygon", "coordinates": [[]]},
    {"type": "Polygon", "coordinates": [[[0, 0]] * 4]},
    {"type": "Polygon", "coordinates": [[[0, 0], [1, 1], [0, 1], [1, 0], [0, 0]]]},
    {"type": "Polygon", "coordinates": [[[0, 91], [1, 91], [1, 92], [0, 91]]]},
    {"type": "Polygon", "coordinates": [[[1e300, 0], [1, 0], [1, 1], [1e300, 0]]]},
    {"type": "Polygon", "coordinates": [[["NaN", 0], [1, 0], [1, 1], ["NaN", 0]]]},
    {"type": "Polygon", "coordinates": [[["1e999", 0], [1, 0], [1, 1], ["1e999", 0]]]},
    {"type": "Polygon", "coordinates": [[[x / 1e4, 0] for x in range(6000)]]},
    {"type": "Polygon", "coordinates": "0,0 1,1"},
    {"type": "Polygon", "coordinates": [[[0, 0], [1, 0], [1, 1], [0, 0]]], "crs": {"href": "http://localhost/"}},
    {"type": ["Polygon"], "coordinates": [[[0, 0], [1, 0], [1, 1], [0, 0]]]},
    {"type": "MultiPolygon", "coordinates": [[[[0, 0], [1, 0], [1, 1], [0, 0]]]] * 300},
]
NAMES = ["__proto__", "pk", "group_id", "rev", "entered_by", "person__email", "", "a" * 500, "\u0000x", "$where"]
PUSHES = [
    {}, {"device": "x"}, {"mutations": {}}, {"mutations": [None]}, {"mutations": [[]]}, {"mutations": [{}]},
    {"mutations": [{"n": 0}]}, {"mutations": [{"n": -1}]}, {"mutations": [{"n": 2**53}]}, {"mutations": [{"n": 1.5}]},
    {"mutations": [{"n": True}]}, {"mutations": [{"mid": "x"}]}, {"mutations": [{"set": []}]},
    {"mutations": [{"set": {"name": ["x"]}}]}, {"mutations": [{"set": {"id": 5}}]}, {"mutations": [{"id": "x"}]},
    {"mutations": [{"type": "a" * 50_000}]}, {"mutations": [{"op": "a" * 50_000}]}, {"mutations": [{"type": None}]},
    {"mutations": [{"type": "property' --"}]}, {"mutations": [{"tx": "x" * 50_000}]}, {"mutations": [{"tx": 5}]},
    {"mutations": [{"reason": "r" * 50_000}]}, {"mutations": [{"at": "0001-01-01T00:00:00+14:00"}]},
    {"mutations": [{"at": "9999-12-31T23:59:59-14:00"}]}, {"mutations": [{"at": "2027-05-01T09:00:00"}]},
    {"mutations": [{"at": "2027-02-30T09:00:00Z"}]}, {"mutations": [{"base_rev": -1}]},
    {"mutations": [{"base_rev": 2**53}]}, {"mutations": [{"base": {"x": [1] * 1000}}]},
    {"mutations": [{"op": "amend"}]}, {"mutations": [{"op": "void", "id": str(uuid4())}]},
    {"mutations": [{"op": "amend", "id": str(uuid4()), "set": {"id": str(uuid4())}}]},
    {"sent_at": "0001-01-01T00:00:00+14:00"}, {"sent_at": 5}, {"mutations": [{}] * 501},
]  # fmt: skip
QUERIES = [
    "limit=0", "limit=501", "limit=-1", "limit=1e3", "limit=", "limit=%00", "limit=٣", "cursor=", "cursor=x",
    "cursor=after.x", "cursor=after.%00", "cursor=before.00000000-0000-0000-0000-00000000000g", "limit=5&limit=6",
    "_connector=OR", "name__regex=(a%2B)%2B%24", "name=%00", "name=" + "a" * 201, "name=%ff%fe", "name=%ed%a0%80",
    "ordering=%00", "format=api", "page_size=1000000", "id__in=" + ",".join(["1"] * 500), "", "name=%25", "&&&", "=",
]  # fmt: skip


def is_answered(response):
    assert response.status_code in NEVER_A_FAULT, response.content[:300]
    if response.status_code >= 400:
        assert response.json()["detail"]


def post_all(someone, path, bodies):
    client = someone.client()
    for body in bodies:
        is_answered(client.post(at(someone, path), json.dumps(body), "application/json"))


def test_odd_text_in_every_field(coordinator):
    post_all(coordinator, "properties", [{"name": text, "note": text, "time_zone": text} for text in TEXTS])
    post_all(coordinator, "properties", [{"name": text or "x", "note": text[:3000]} for text in TEXTS])
    post_all(coordinator, "members", [{"display_name": "x", "role": text, "email": text} for text in TEXTS])


def test_what_was_taken_can_be_read_again(coordinator):
    post_all(coordinator, "properties", [{"name": text or "x", "note": text[:3000]} for text in TEXTS])

    for record in get(coordinator, "properties").json()["results"]:
        assert get(coordinator, f"properties/{record['id']}").json() == record
        assert get(coordinator, f"properties/{record['id']}/history").status_code == 200


def test_a_value_of_another_kind_in_every_field(coordinator):
    for field in ("id", "name", "address", "time_zone", "boundary", "note"):
        post_all(coordinator, "properties", [{"name": "x"} | {field: value} for value in VALUES])
    for field in ("id", "display_name", "role", "email"):
        post_all(coordinator, "members", [{"display_name": "x", "role": "volunteer"} | {field: v} for v in VALUES])


def test_a_boundary_that_is_none(coordinator):
    client = coordinator.client()
    for boundary in BOUNDARIES:
        body = json.dumps({"name": "x", "boundary": boundary})
        response = client.post(at(coordinator, "properties"), body, "application/json")
        assert response.status_code == 400, boundary
        assert response.json()["errors"][0]["pointer"].startswith("/boundary")


def test_a_field_that_is_nobodys_to_set(coordinator):
    client = coordinator.client()
    for name in NAMES:
        body = json.dumps({"name": "x", name: "x"})
        response = client.post(at(coordinator, "properties"), body, "application/json")
        assert response.status_code == 400, name


def test_odd_headers(coordinator):
    client, address = coordinator.client(), at(coordinator, f"members/{coordinator.member.id}")
    for text in ("", " ", "x" * 5000, '"', '""', '"-1"', '"1', "é", "0" * 36, "*, *"):
        for header in ("If-Match", "Idempotency-Key", "Authorization", "Content-Type", "Accept", "Content-Encoding"):
            headers = {"If-Match": '"1"'} | {header: text}
            is_answered(client.generic("PATCH", address, "{}", "application/json", headers=headers))


def test_odd_queries(coordinator):
    client = coordinator.client()
    for query in QUERIES:
        is_answered(client.get(f"{at(coordinator, 'properties')}?{query}"))
        is_answered(client.get(f"{at(coordinator, 'members')}?{query}"))
        is_answered(client.get(f"/api/v1/devices?{query}"))


@pytest.mark.parametrize("query", ["limit=0", "limit=", "cursor=after.x", "name=", "name=a&name=b", "name=%00"])
def test_a_query_that_cannot_be_meant_is_refused(coordinator, query):
    response = coordinator.client().get(f"{at(coordinator, 'properties')}?{query}")

    assert response.status_code == 400


def test_odd_pushes(coordinator):
    for odd in PUSHES:
        plain = {"mid": str(uuid4()), "n": 1, "type": "property", "op": "create", "set": {"name": "x"}}
        body = {"device": str(coordinator.device.id), "sent_at": "2027-05-01T09:00:00Z", "mutations": [{}]} | odd
        if isinstance(body["mutations"], list):
            body["mutations"] = [plain | m if isinstance(m, dict) else m for m in body["mutations"]]
        is_answered(coordinator.client().post(at(coordinator, "sync/push"), json.dumps(body), "application/json"))


@pytest.mark.parametrize("cursor", ["", "x", "v1.", "v1.x:y", "v1." + "a" * 1990, "é", "v1.W10:x", 5, [], {}])
def test_odd_cursors(coordinator, cursor):
    body = json.dumps({"cursor": cursor})

    response = coordinator.client().post(at(coordinator, "sync/pull"), body, "application/json")

    assert response.status_code == 400


def test_odd_tokens(client, db):
    for header in ("Bearer", "Bearer ", "Bearer x", "bearer \x7f", "Basic eDp5", "Bearer a b", "Bearer " + "x" * 9000):
        is_answered(client.get("/api/v1/me", headers={"Authorization": header}))
    for token in ("", "x", "é" * 40, "\x00" * 32, "x" * 9000, "'" * 32):
        is_answered(client.get("/api/v1/me", headers={"X-Session-Token": token}))
    for cookie in ('"\\000\\000\\000\\000\\000\\000\\000\\000\\000"', "x" * 4000, "é"):
        client.cookies["sessionid"] = cookie
        is_answered(client.get("/api/v1/me"))
