"""Push and pull through HTTP: the protocol's answers, not the ledger's rules again."""

import gzip
import json
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.journal.models import Book
from tests.api.asking import at, post, sent_at
from tests.api.asking import hand_in as push


def mutation(n, type="property", op="create", **set):
    return {"mid": str(uuid4()), "n": n, "type": type, "op": op, "set": set or {"name": f"Place {n}"}}


def pull(someone, cursor=None, client=None, **more):
    body = json.dumps({"cursor": cursor} | more)
    return (client or someone.client()).post(at(someone, "sync/pull"), body, "application/json")


def lines(response):
    return [json.loads(line) for line in response.content.splitlines()]


def test_what_is_pushed_is_pulled_by_another(coordinator, volunteer):
    start = lines(pull(volunteer))[-1]["cursor"]
    pushed = push(coordinator, mutation(1), mutation(2))

    begin, first, second, end = lines(pull(volunteer, start))

    book = Book.objects.get(group_id=coordinator.group_id)
    assert begin.keys() == {"k", "epoch", "schema", "server_time"}
    assert first.keys() == {"k", "q", "t", "id", "r", "d"}
    assert end.keys() == {"k", "cursor", "more", "head", "head_hash", "poll_after_s"}
    assert (begin["epoch"], begin["schema"]) == (str(book.epoch), 1)
    assert (end["head"], end["head_hash"]) == (book.head, book.head_hash)
    assert pushed.status_code == 200
    assert [result["outcome"] for result in pushed.json()["results"]] == ["applied", "applied"]
    assert (pushed.json()["last_n"], pushed.json()["head"]) == (2, end["head"])
    assert (begin["k"], end["k"], end["more"]) == ("start", "end", False)
    assert [first["d"]["name"], second["d"]["name"]] == ["Place 1", "Place 2"]
    assert pushed.json()["results"][0]["id"] == first["id"]


def test_a_push_sent_again_is_answered_the_same(coordinator):
    sent = mutation(1)
    first = push(coordinator, sent).json()["results"][0]

    assert push(coordinator, sent).json()["results"][0] == first | {"replayed": True}


def test_what_breaks_a_rule_is_held_and_the_rest_is_applied(coordinator):
    results = push(coordinator, mutation(1), mutation(2, name=""), mutation(3)).json()["results"]

    assert [result["outcome"] for result in results] == ["applied", "held", "applied"]
    assert results[1]["code"] == "unreadable"
    assert results[1]["errors"][0]["pointer"] == "/name"


def test_a_gap_says_where_to_go_on(coordinator):
    push(coordinator, mutation(1))

    refused = push(coordinator, mutation(3))

    assert (refused.status_code, refused.json()["code"], refused.json()["expected"]) == (409, "gap", 2)


def test_a_used_number_with_another_mutation_is_a_second_device(coordinator):
    push(coordinator, mutation(1))

    refused = push(coordinator, mutation(1))

    assert (refused.status_code, refused.json()["code"]) == (409, "device_forked")


def test_a_device_pushes_under_its_own_id(coordinator, volunteer):
    refused = push(coordinator, mutation(1), device=volunteer.device.id)

    assert (refused.status_code, refused.json()["code"]) == (403, "not_this_device")


def test_a_browser_does_not_push(coordinator):
    body = {"device": str(coordinator.device.id), "sent_at": sent_at(), "mutations": []}

    refused = coordinator.signed_in().post(at(coordinator, "sync/push"), json.dumps(body), "application/json")

    assert (refused.status_code, refused.json()["code"]) == (403, "not_this_device")


def test_what_a_former_member_pushes_is_held_and_they_pull_nothing(former):
    pushed = push(former, mutation(1))

    assert pushed.status_code == 200
    assert pushed.json()["results"][0]["code"] == "not_permitted"
    assert pull(former).status_code == 403


@pytest.mark.parametrize("when", ["2027-05-01T09:00:00", "0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00", "x"])
def test_a_time_without_offset_or_beyond_reach_is_no_time(coordinator, when):
    refused = push(coordinator, mutation(1) | {"at": when})

    assert (refused.status_code, refused.json()["errors"][0]["pointer"]) == (400, "/mutations/0/at")


def test_more_than_five_hundred_are_too_many(coordinator):
    refused = push(coordinator, *[mutation(n) for n in range(1, 502)])

    assert (refused.status_code, refused.json()["errors"][0]["pointer"]) == (400, "/mutations")


def test_a_page_has_as_many_records_as_were_asked_for(coordinator):
    page = lines(pull(coordinator, limit=2))

    assert len(page) == 1 + 2 + 1
    assert page[-1]["more"] is True


def test_a_page_is_sent_in_gzip_where_that_is_taken(coordinator):
    plain = pull(coordinator)
    packed = coordinator.client().post(
        at(coordinator, "sync/pull"), "{}", "application/json", headers={"Accept-Encoding": "gzip"}
    )

    assert plain["Content-Type"] == packed["Content-Type"] == "application/x-ndjson"
    assert packed["Content-Encoding"] == "gzip"
    assert gzip.decompress(packed.content).splitlines()[1:-1] == plain.content.splitlines()[1:-1]
    assert packed["Cache-Control"] == "no-store"
    assert "Accept-Encoding" in packed["Vary"]


@pytest.mark.parametrize(
    ("takes", "is_packed"),
    [
        ("gzip", True), ("br, GZIP;q=0.5", True), ("gzip;q=1.0, br", True), ("gzip ; q=0.01", True), ("br", False),
        ("gzip;q=0", False), ("br, gzip; q=0.0", False), ("gzip;q=0, identity", False), ("x-gzip", False), ("", False),
    ],
)  # fmt: skip
def test_a_page_comes_in_gzip_only_where_that_is_taken(coordinator, takes, is_packed):
    page = post(coordinator, "sync/pull", Accept_Encoding=takes)

    assert page.has_header("Content-Encoding") is is_packed


def test_a_cursor_of_another_role_is_gone(coordinator, volunteer):
    cursor = lines(pull(volunteer))[-1]["cursor"]
    post(coordinator, f"members/{volunteer.member.id}/end")
    post(coordinator, f"members/{volunteer.member.id}/reinstate")
    coordinator.does("member", "amend", id=volunteer.member.id, role="coordinator")

    refused = pull(volunteer, cursor)

    assert (refused.status_code, refused.json()["code"]) == (410, "cursor_gone")


def test_a_cursor_of_another_group_is_none_of_ours(coordinator, stranger):
    refused = pull(coordinator, lines(pull(stranger))[-1]["cursor"])

    assert (refused.status_code, refused.json()["code"]) == (400, "cursor_unreadable")


def test_a_push_costs_the_same_statements_for_1_10_and_500(coordinator):
    """Invariant I22: from authentication to commit."""
    push(coordinator, mutation(1))
    counts = []
    for size, first in ((1, 2), (10, 3), (500, 13)):
        with CaptureQueriesContext(connection) as captured:
            pushed = push(coordinator, *[mutation(n) for n in range(first, first + size)])
        assert len(pushed.json()["results"]) == size
        counts.append(len(captured))

    assert counts[0] == counts[1] == counts[2]
