"""The edges of sync: what is spoken, how much is taken, in which wrapping, from whom, by which clock."""

import gzip
import json
from dataclasses import replace
from datetime import datetime, timedelta

import orjson
import pytest
from django.test import Client
from django.utils import timezone

from api import sync
from api.parsing import MAX_BYTES
from stewardship.journal.models import Book
from stewardship.places.models import Property
from stewardship.reports.models import Season
from stewardship.sync.models import Mutation, Outbox
from stewardship.sync.verbs import VERBS
from tests.api.asking import at, get, hand_in, post, sent_at
from tests.api.test_sync import lines, mutation, pull
from tests.database import everything

DATED = {"type": "season", "set": {"name": "2027", "first_on": "2027-01-01", "last_on": "2027-12-31"}}
"""What an entry says that tells dates itself."""


def told(response):
    return response.status_code, response.json().get("code")


# -- hello and versions -----------------------------------------------------------------------------


def test_hello_tells_what_is_spoken_and_how_much_is_taken(coordinator):
    before = timezone.now()

    hello = get(coordinator, "sync/hello").json()

    server_time = datetime.fromisoformat(hello.pop("server_time"))
    assert before <= server_time <= timezone.now()
    assert hello == {
        "protocol": {"min": 1, "max": 1},
        "schema": {"min": 1, "current": 1},
        "limits": {"mutations": 500, "bytes": 1_048_576, "page": 2000, "rescue": 100_000},
        "notice": None,
    }


def test_the_limits_are_those_that_hold(coordinator):
    limits = get(coordinator, "sync/hello").json()["limits"]
    too_many = hand_in(coordinator, *[mutation(n) for n in range(1, limits["mutations"] + 2)])

    assert too_many.status_code == 400
    assert pull(coordinator, limit=limits["page"]).status_code == 200
    assert pull(coordinator, limit=limits["page"] + 1).status_code == 400
    assert rescue(coordinator, 1, "x" * limits["rescue"]).status_code == 200
    assert rescue(coordinator, 2, "x" * (limits["rescue"] + 1)).status_code == 400


def test_a_notice_is_told_to_every_device(coordinator, settings):
    settings.SYNC_NOTICE = "Update the app before the first of May."

    assert get(coordinator, "sync/hello").json()["notice"] == "Update the app before the first of May."


def test_a_former_member_may_ask_how_to_hand_in_what_is_left(former):
    assert get(former, "sync/hello").status_code == 200


@pytest.mark.parametrize("version", ["0", "2", "999999"])
def test_a_protocol_that_is_not_spoken_is_told_which_ones_are(coordinator, version):
    headers = {"Sync-Protocol": version}
    for answer in (
        hand_in(coordinator, mutation(1), **headers),
        rescue(coordinator, 1, "{", **headers),
        post(coordinator, "sync/pull", **headers),
    ):
        assert told(answer) == (426, "protocol_unknown")
        assert (answer.json()["min"], answer.json()["max"]) == (1, 1)
    assert not Mutation.objects.filter(device_id=coordinator.device.id).exists()


@pytest.mark.parametrize("version", ["1", None])
def test_who_names_no_version_speaks_the_newest(coordinator, version):
    headers = {"Sync-Protocol": version, "Sync-Schema": version} if version else {}

    assert hand_in(coordinator, mutation(1), **headers).status_code == 200
    assert post(coordinator, "sync/pull", **headers).status_code == 200


@pytest.mark.parametrize("schema", ["0", "2", "77"])
def test_a_push_is_taken_from_any_schema_and_only_a_pull_asks_for_another_app(coordinator, schema):
    pushed = hand_in(coordinator, mutation(1), mutation(2, colour="green"), **{"Sync-Schema": schema})
    pulled = post(coordinator, "sync/pull", **{"Sync-Schema": schema})

    assert [result["outcome"] for result in pushed.json()["results"]] == ["applied", "held"]
    assert told(pulled) == (426, "schema_unknown")
    assert (pulled.json()["min"], pulled.json()["max"]) == (1, 1)


@pytest.mark.parametrize("version", ["", "x", "1.0", "-1", "٣", "1" * 7])
@pytest.mark.parametrize("header", ["Sync-Protocol", "Sync-Schema"])
def test_a_version_is_a_whole_number(coordinator, header, version):
    assert told(hand_in(coordinator, mutation(1), **{header: version})) == (400, "version_invalid")
    assert told(post(coordinator, "sync/pull", **{header: version})) == (400, "version_invalid")


# -- bodies -----------------------------------------------------------------------------------------


def body_of(someone, *mutations):
    return json.dumps({"device": str(someone.device.id), "sent_at": sent_at(), "mutations": mutations}).encode()


def send(someone, body, content_type="application/json", **headers):
    headers = {name.replace("_", "-"): value for name, value in headers.items()}
    return someone.client().generic("POST", at(someone, "sync/push"), body, content_type, headers=headers)


def test_a_push_in_gzip_is_taken(coordinator):
    packed = gzip.compress(body_of(coordinator, *[mutation(n) for n in range(1, 500)]))

    pushed = send(coordinator, packed, Content_Encoding="gzip")

    assert pushed.json()["last_n"] == 499


@pytest.mark.parametrize(
    ("wrapped", "encoding", "answer"),
    [
        (lambda body: gzip.compress(body + b" " * MAX_BYTES), "gzip", (413, "body_too_large")),
        (lambda body: gzip.compress(b" " * (200 * MAX_BYTES)), "gzip", (413, "body_too_large")),
        (lambda body: body + b" " * MAX_BYTES, "", (413, "body_too_large")),
        (lambda body: gzip.compress(body)[:-4], "gzip", (400, "body_unreadable")),
        (lambda body: gzip.compress(body)[:-8] + b"12345678", "gzip", (400, "body_unreadable")),
        (lambda body: gzip.compress(body) + gzip.compress(b" "), "gzip", (400, "body_unreadable")),
        (lambda body: body, "gzip", (400, "body_unreadable")),
        (lambda body: gzip.compress(body), "", (400, "body_unreadable")),
        (lambda body: body, "br", (415, "unsupported_media_type")),
        (lambda body: gzip.compress(gzip.compress(body)), "gzip, gzip", (415, "unsupported_media_type")),
    ],
)
def test_a_body_that_is_too_large_broken_or_wrapped_otherwise_is_not_taken(coordinator, wrapped, encoding, answer):
    body = wrapped(body_of(coordinator, mutation(1)))

    refused = send(coordinator, body, **({"Content_Encoding": encoding} if encoding else {}))

    assert told(refused) == answer
    assert not Property.objects.exists()


def test_a_bomb_is_refused_without_being_unpacked(coordinator):
    import resource

    bomb = gzip.compress(b"\0" * (900 * MAX_BYTES))
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss

    assert told(send(coordinator, bomb, Content_Encoding="gzip")) == (413, "body_too_large")

    assert len(bomb) < MAX_BYTES
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 64 * 1024  # KiB


# -- rescue -----------------------------------------------------------------------------------------


def rescue(someone, n, text, **headers):
    body = {"device": str(someone.device.id), "sent_at": sent_at(), "n": n, "text": text}
    return post(someone, "sync/rescue", body, **headers)


def test_what_cannot_be_read_is_kept_as_it_is_and_the_next_ones_go_on(coordinator):
    torn = '{"mid": "0193a6", "set": {"name": "Fe'

    kept = rescue(coordinator, 1, torn).json()
    pushed = hand_in(coordinator, mutation(2)).json()

    (result,) = kept["results"]
    assert (result["outcome"], result["code"], kept["last_n"]) == ("held", "unreadable", 1)
    line = Mutation.objects.get(mid=result["mid"])
    assert orjson.loads(line.payload)["set"] == {"text": torn}
    assert (line.by_id, line.device_id, line.n) == (coordinator.person.id, coordinator.device.id, 1)
    assert Book.objects.get(group_id=coordinator.group_id).held == 1
    assert (pushed["last_n"], pushed["results"][0]["outcome"]) == (2, "applied")


def test_rescued_again_it_is_kept_once(coordinator):
    first = rescue(coordinator, 1, "{").json()["results"][0]
    before = everything_but_rates()

    assert rescue(coordinator, 1, "{").json()["results"] == [first | {"replayed": True}]
    assert everything_but_rates() == before


def everything_but_rates():
    """Return all rows, without how much was handed in: what is sent again counts too."""
    outboxes = sorted(Outbox.objects.values_list("device_id", "group_id", "last_n"))
    return everything() | {"sync_outbox": outboxes}


def test_the_same_text_under_the_next_number_takes_that_number(coordinator):
    first, second = rescue(coordinator, 1, "{").json(), rescue(coordinator, 2, "{").json()

    assert second["results"][0]["mid"] == first["results"][0]["mid"]
    assert (second["results"][0]["replayed"], second["last_n"]) == (True, 2)


def test_a_rescue_is_counted_like_any_other(coordinator):
    hand_in(coordinator, mutation(1))

    gap, forked = rescue(coordinator, 3, "{"), rescue(coordinator, 1, "{")

    assert (told(gap), gap.json()["expected"]) == ((409, "gap"), 2)
    assert told(forked) == (409, "device_forked")


def test_rescues_are_bounded_a_day(coordinator, monkeypatch):
    monkeypatch.setattr(sync, "RESCUED_A_DAY", 2)
    rescue(coordinator, 1, "{"), rescue(coordinator, 2, "[")

    refused = rescue(coordinator, 3, "(")

    assert told(refused) == (429, "too_many_held")
    assert int(refused["Retry-After"]) > 0
    assert hand_in(coordinator, mutation(3)).status_code == 200


# -- whose ------------------------------------------------------------------------------------------


def revoke(someone):
    someone.signed_in().post(f"/api/v1/devices/{someone.device.id}/revoke", "{}", "application/json")


def test_what_a_revoked_device_still_had_is_held_with_its_author(coordinator):
    first = hand_in(coordinator, mutation(1)).json()["results"][0]
    revoke(coordinator)

    late = hand_in(coordinator, mutation(2), mutation(3, type="moon"))

    assert [(r["outcome"], r["code"]) for r in late.json()["results"]] == [("held", "device_revoked")] * 2
    held = Mutation.objects.filter(outcome="held", device_id=coordinator.device.id).order_by("n")
    assert [line.by_id for line in held] == [coordinator.person.id] * 2
    assert "Place 2" in held[0].payload
    assert Property.objects.count() == 1
    again = hand_in(coordinator, mutation(1) | {"mid": first["mid"]})
    assert told(rescue(coordinator, 4, "{"))[0] == again.status_code == 200


def test_a_revoked_device_does_nothing_else(coordinator):
    revoke(coordinator)
    client = coordinator.client()

    answers = [
        get(coordinator, "sync/hello"), pull(coordinator), get(coordinator, "properties"), client.get("/api/v1/me"),
        post(coordinator, "properties", {"name": "Fen"}), client.get("/api/v1/devices"),
    ]  # fmt: skip

    assert [answer.status_code for answer in answers] == [401] * len(answers)


def test_late_pushes_are_bounded_a_day(coordinator, monkeypatch):
    monkeypatch.setattr(sync, "LATE_A_DAY", 2)
    revoke(coordinator)

    first, refused = hand_in(coordinator, mutation(1), mutation(2)), hand_in(coordinator, mutation(3))

    assert (first.status_code, told(refused)) == (200, (429, "too_many_held"))
    assert int(refused["Retry-After"]) > 0


def test_a_revoked_device_of_a_stranger_or_of_nobody_hands_in_nothing(coordinator, stranger):
    revoke(stranger)
    client = stranger.client()

    refused = client.post(at(coordinator, "sync/push"), body_of(stranger, mutation(1)), "application/json")

    assert refused.status_code == 404
    unknown = Client(headers={"Authorization": "Bearer sdt_unknown"})
    assert unknown.post(at(coordinator, "sync/push"), "{}", "application/json").status_code == 401


def test_who_left_or_is_suspended_hands_in_what_is_then_held(coordinator, volunteer, former):
    post(coordinator, f"members/{volunteer.member.id}/suspend", {"reason": "asked to wait"})

    for someone in (volunteer, former):
        answer = hand_in(someone, mutation(1), mutation(2, type="property"))
        assert [(r["outcome"], r["code"]) for r in answer.json()["results"]] == [("held", "not_permitted")] * 2
        held = Mutation.objects.filter(device_id=someone.device.id, outcome="held", payload__isnull=False)
        assert held.count() == 2


def test_what_was_held_for_its_device_or_clock_is_released_and_a_torn_one_can_only_be_voided(coordinator, volunteer):
    torn = rescue(volunteer, 1, "{torn").json()["results"][0]
    far = hand_in(volunteer, mutation(2) | DATED, sent=timedelta(days=3)).json()["results"][0]
    revoke(volunteer)
    late = hand_in(volunteer, mutation(3)).json()["results"][0]

    def settles(held, act):
        return post(coordinator, f"to-settle/{held['to_settle']}/{act}", {"reason": "asked by phone"}).status_code

    answer = post(coordinator, f"to-settle/{torn['to_settle']}/release", {"reason": "asked by phone"}).json()
    assert "Enter anew what it says, then void it." in answer["errors"][0]["detail"]
    assert (settles(torn, "release"), settles(torn, "void")) == (400, 200)
    assert (settles(far, "release"), settles(late, "release")) == (200, 200)
    assert [each["code"] for each in (torn, far, late)] == ["unreadable", "clock_far_off", "device_revoked"]
    made = [model.objects.values_list("name", "entered_by_id").get() for model in (Season, Property)]
    assert made == [("2027", volunteer.person.id), ("Place 3", volunteer.person.id)]


# -- the clock and the measure ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("off", "outcome"),
    [
        (timedelta(minutes=5), ("applied", None)),
        (timedelta(hours=-3), ("applied", "clock_off")),
        (timedelta(days=-3), ("held", "clock_off")),
        (timedelta(days=900), ("held", "clock_off")),
    ],
)
def test_a_clock_that_is_off_is_marked_or_settled_and_never_refused(coordinator, off, outcome):
    answer = hand_in(coordinator, mutation(1) | DATED | {"at": sent_at(off)}, sent=off)

    (result,) = answer.json()["results"]
    assert answer.status_code == 200
    assert (result["outcome"], result.get("warnings", [{}])[0].get("code")) == outcome
    assert result.get("code") == ("clock_far_off" if outcome[0] == "held" else None)


def test_who_hands_in_too_much_is_told_when_to_go_on(coordinator, settings):
    settings.SYNC_MUTATIONS_AN_HOUR = 10
    hand_in(coordinator, *[mutation(n) for n in range(1, 16)])

    refused = hand_in(coordinator, mutation(16))

    assert told(refused) == (429, "too_much_at_once")
    assert 1790 < int(refused["Retry-After"]) <= 1800


def test_bytes_count_as_they_are_after_inflating(coordinator, settings):
    settings.SYNC_BYTES_AN_HOUR = 50_000
    large = gzip.compress(body_of(coordinator, mutation(1, name="Fen", note="x" * 90_000)))
    assert len(large) < 1000
    send(coordinator, large, Content_Encoding="gzip")

    assert told(hand_in(coordinator, mutation(2))) == (429, "too_much_at_once")


def test_a_push_that_had_to_wait_asks_the_device_to_wait(coordinator, monkeypatch):
    assert hand_in(coordinator, mutation(1)).json()["backoff_s"] == 0
    clock = iter([0.0, 2.5, 0.0, 100.0])
    monkeypatch.setattr(sync, "monotonic", lambda: next(clock))

    assert hand_in(coordinator, mutation(2)).json()["backoff_s"] == 11
    assert hand_in(coordinator, mutation(3)).json()["backoff_s"] == 60


def test_devices_ask_again_at_different_moments(coordinator, volunteer):
    waits = [lines(pull(who))[-1]["poll_after_s"] for who in (coordinator, volunteer) for _ in range(8)]

    assert all(720 <= wait <= 1080 for wait in waits)
    assert len(set(waits)) > 8
    assert lines(pull(coordinator, limit=1))[-1]["poll_after_s"] == 0


def test_one_that_meets_a_fault_of_ours_is_held_and_the_rest_is_applied(coordinator, monkeypatch, caplog):
    verb = VERBS["property", "create"]

    def service(entry, wish):
        return 1 / 0 if wish.name == "boom" else verb.service(entry, wish)

    monkeypatch.setitem(VERBS, ("property", "create"), replace(verb, service=service))

    answer = hand_in(coordinator, mutation(1), mutation(2, name="boom"), mutation(3))

    results = answer.json()["results"]
    assert answer.status_code == 200
    assert [result.get("code") or result["outcome"] for result in results] == ["applied", "server_error", "applied"]
    assert results[1]["incident"] in caplog.text
