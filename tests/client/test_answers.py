"""What each answer of the service makes a device do: whatever comes back, what a person entered is kept."""

import json
from uuid import UUID

import pytest

from tests.client.device import OUTCOMES
from tests.client.scripted import answer, device, enters, page, put, refuses, takes, takes_all, waiting
from tests.client.transport import Answer


def numbers(body):
    return [each["n"] for each in body["mutations"]]


# -- 200 -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("outcome", sorted(OUTCOMES))
def test_what_has_an_outcome_moves_to_the_sent_box(outcome):
    phone, _, _ = device(takes(outcome))
    (mid,) = enters(phone, 1)

    phone.push()

    assert waiting(phone) == []
    assert [(each, told["outcome"]) for each, told in phone.store.sent_box()] == [(mid, outcome)]
    assert bool(phone.to_show()) is (outcome in ("conflict", "held"))


def test_what_has_none_stays_and_is_sent_again():
    phone, service, _ = device(takes("applied"))
    first, second, third = enters(phone, 3)

    phone.push()

    assert [numbers(body) for body in service.calls("push")] == [[1, 2, 3], [2, 3]]
    assert waiting(phone) == []


def test_an_outcome_that_nobody_knows_takes_nothing_out():
    phone, _, _ = device(takes("perhaps"))
    mids = enters(phone, 1)

    phone.push()

    assert waiting(phone) == mids
    assert phone.is_waiting


@pytest.mark.parametrize(
    "body", [b"", b"{", b"[]", b"<html>Accept our terms</html>", b'{"results": []}', b"\xff", b"\x00", b"null"]
)
def test_a_200_that_is_not_the_services_takes_nothing_out(body):
    phone, _, _ = device(Answer(200, {}, body), Answer(200, {}, body))
    mids = enters(phone, 2)

    phone.push()
    phone.wait_until = 0
    phone.pull()

    assert waiting(phone) == mids
    assert phone.is_waiting
    assert phone.store["cursor"] is None


def test_a_push_carries_the_devices_id_its_token_and_its_clock():
    phone, service, clock = device()
    enters(phone, 1)

    phone.push()

    ((_, body),) = service.asked
    assert (body["device"], body["sent_at"]) == ("device 1", clock.now.isoformat())
    assert service.headers[0]["Authorization"] == "Bearer token 1"
    assert service.headers[0]["Sync-Protocol"] == "1"


def test_a_service_under_load_is_left_alone_as_long_as_it_asks():
    phone, service, clock = device(lambda body: answer(200, takes("applied")(body).said() | {"backoff_s": 60}))
    enters(phone, 2)

    phone.push()

    assert len(service.asked) == 1
    assert phone.wait_until - clock.ticks_s >= 60


# -- 401, 403, 426 ---------------------------------------------------------------------------------


def test_a_device_that_is_not_known_any_more_keeps_everything_until_its_person_signs_in():
    phone, service, _ = device(refuses(401, "authentication_failed"))
    mids = enters(phone, 2)
    phone.push()
    assert (phone.needs, waiting(phone)) == ("sign_in", mids)
    phone.sync()
    assert len(service.asked) == 1, "it does not ask again by itself"

    phone.signed_in("device 1", "token 3")
    phone.push()

    assert waiting(phone) == []
    assert service.headers[-1]["Authorization"] == "Bearer token 3"


def test_a_sign_in_as_another_device_numbers_everything_anew_and_sends_it_again():
    phone, service, _ = device(takes_all, refuses(401, "authentication_failed"))
    first = enters(phone, 2)
    phone.push()
    second = enters(phone, 1)
    phone.push()

    phone.signed_in("device 9", "token 9")
    phone.push()

    body = service.calls("push")[-1]
    assert body["device"] == "device 9"
    assert [(each["n"], each["mid"]) for each in body["mutations"]] == list(enumerate(first + second, 1))


def test_who_is_no_member_any_more_keeps_what_is_not_sent_and_reads_nothing():
    phone, _, _ = device(page(put("a")), refuses(403, "not_permitted"))
    phone.pull()
    mids = enters(phone, 1)

    phone.pull()

    assert (phone.store.records(), waiting(phone), phone.needs) == ({}, mids, "not_permitted")


def test_who_may_not_pull_learns_from_an_empty_push_that_the_service_was_restored():
    forgets = answer(200, {"last_n": 1, "head": 9, "results": []})
    phone, service, _ = device(takes_all, refuses(403, "not_permitted"), forgets)
    mids = enters(phone, 3)

    phone.sync()

    assert [[each["mid"] for each in body["mutations"]] for body in service.calls("push")] == [mids, [], mids[1:]]
    assert waiting(phone) == []


def test_a_service_that_forgot_more_than_the_sent_box_keeps_meets_a_new_device():
    phone, service, _ = device(takes_all, answer(200, {"last_n": 0, "head": 9, "results": []}))
    enters(phone, 3)
    phone.push()
    phone.store.db.execute("DELETE FROM entries WHERE n = 1")

    phone._ask_how_far()
    phone.push()

    body = service.calls("push")[-1]
    assert (body["device"] != "device 1", numbers(body)) == (True, [1, 2])


def test_a_page_of_somebody_in_between_empties_nothing():
    phone, _, _ = device(page(put("a")), Answer(403, {}, b"<html>Blocked</html>"))
    phone.pull()

    phone.pull()

    assert list(phone.store.records()) == ["a"]
    assert phone.is_waiting


@pytest.mark.parametrize(("status", "code", "needs"), [
    (426, "protocol_unknown", "update"), (404, "target_unavailable", "target_unavailable"),
    (403, "not_this_device", "not_this_device"), (415, "unsupported_media_type", "unsupported_media_type"),
])  # fmt: skip
def test_what_a_device_cannot_mend_waits_for_a_person_and_nothing_is_lost(status, code, needs):
    phone, _, _ = device(refuses(status, code))
    mids = enters(phone, 2)

    phone.push()

    assert (phone.needs, waiting(phone)) == (needs, mids)


# -- 409 gap, forked; 410 --------------------------------------------------------------------------


def test_at_a_gap_the_sent_box_is_sent_again_from_where_the_service_lacks_it():
    phone, service, _ = device(takes_all, refuses(409, "gap", expected=2))
    mids = enters(phone, 3)
    phone.push()
    mids += enters(phone, 1)

    phone.push()

    sent = service.calls("push")[-1]["mutations"]
    assert [(each["n"], each["mid"]) for each in sent] == list(enumerate(mids, 1))[1:]
    assert waiting(phone) == []


def test_a_gap_that_the_sent_box_cannot_fill_makes_a_new_device():
    phone, service, _ = device(takes_all, refuses(409, "gap", expected=1))
    enters(phone, 2)
    phone.push()
    phone.store.db.execute("DELETE FROM entries WHERE n = 1")
    enters(phone, 1)

    phone.push()

    body = service.calls("push")[-1]
    assert UUID(body["device"])
    assert (phone.store["token"], numbers(body)) == ("token 1", [1, 2])


def test_a_forked_device_takes_a_new_id_numbers_anew_and_keeps_every_mid():
    phone, service, _ = device(takes_all, refuses(409, "device_forked"))
    mids = enters(phone, 2)
    phone.push()
    mids += enters(phone, 2)

    phone.push()

    body = service.calls("push")[-1]
    assert UUID(body["device"])
    assert service.headers[-1]["Authorization"] == "Bearer token 1"
    assert [(each["n"], each["mid"]) for each in body["mutations"]] == list(enumerate(mids, 1))
    enters(phone, 1)
    phone.push()
    assert numbers(service.calls("push")[-1]) == [5]


def test_a_service_that_always_forks_is_not_asked_without_end():
    phone, service, _ = device(*[refuses(409, "device_forked")] * 50)
    mids = enters(phone, 1)

    phone.push()

    assert len(service.asked) < 10
    assert waiting(phone) == mids


@pytest.mark.parametrize("code", ["cursor_gone", "book_rewound"])
def test_a_cursor_that_is_gone_empties_the_copy_and_begins_from_nothing(code):
    phone, service, _ = device(page(put("a"), put("b")), refuses(410, code), page(put("b"), cursor="d"))
    phone.pull()
    mids = enters(phone, 1)

    phone.pull()

    assert [body["cursor"] for body in service.calls("pull")] == [None, "c", None]
    assert (list(phone.store.records()), phone.store["cursor"], waiting(phone)) == (["b"], "d", mids)


def test_another_epoch_puts_the_sent_box_back_into_the_outbox():
    phone, service, _ = device(
        page(put("a")), takes_all, page(cursor="d"), refuses(410, "cursor_gone"), page(put("a"), epoch="another"),
        takes_all, page(epoch="another"),
    )  # fmt: skip
    phone.pull()
    mids = enters(phone, 2)
    phone.sync()
    assert waiting(phone) == []

    phone.sync()

    assert [each["mid"] for each in service.calls("push")[-1]["mutations"]] == mids
    assert [call for call, _ in service.asked[-2:]] == ["push", "pull"]
    assert waiting(phone) == []


# -- 400, 413, 422 ---------------------------------------------------------------------------------


@pytest.mark.parametrize("status", [400, 413, 422])
def test_what_is_too_much_is_halved_until_the_one_that_nobody_can_read_is_rescued(status):
    phone, service, _ = device()
    mids = enters(phone, 9)

    def chokes_on_the_fifth(body):
        is_bad = any(each["n"] == 5 for each in body.get("mutations", ()))
        return refuses(status, "body_unreadable") if is_bad else takes_all(body)

    service.script = [chokes_on_the_fifth] * 50
    phone.push()

    (rescued,) = service.calls("rescue")
    assert json.loads(rescued["text"])["mid"] == mids[4]
    assert (rescued["n"], waiting(phone)) == (5, [])
    taken = [n for body in service.calls("push") for n in numbers(body) if 5 not in numbers(body)]
    assert sorted(taken) == [1, 2, 3, 4, 6, 7, 8, 9]


def test_what_stands_and_falls_together_is_never_sent_in_parts():
    phone, service, _ = device(most=4)
    for tx in ("A", None, "B", "C"):
        enters(phone, 3, tx=tx)

    phone.push()

    groups = [[each.get("tx") for each in body["mutations"]] for body in service.calls("push")]
    assert groups == [["A", "A", "A", None], [None, None], ["B"] * 3, ["C"] * 3]


def test_a_transaction_that_nobody_can_read_is_rescued_whole():
    phone, service, _ = device(refuses(400, "body_unreadable"))
    mids = enters(phone, 3, tx="A")

    phone.push()

    assert [json.loads(body["text"])["mid"] for body in service.calls("rescue")] == mids
    assert [body["n"] for body in service.calls("rescue")] == [1, 2, 3]
    assert waiting(phone) == []


def test_what_is_rescued_again_says_the_same_under_any_number():
    phone, service, _ = device(refuses(400, "body_unreadable"), takes_all, refuses(409, "device_forked"))
    enters(phone, 1)
    phone.push()
    enters(phone, 1)
    service.script.append(refuses(400, "body_unreadable"))
    service.script.append(refuses(400, "body_unreadable"))

    phone.push()

    assert len({body["text"] for body in service.calls("rescue")[:2]}) == 1


def test_a_text_longer_than_is_taken_is_rescued_as_far_as_there_is_room():
    phone, service, _ = device(refuses(413, "body_too_large"), most_rescued=50)
    phone.enter("property", "create", {"name": "x" * 99})

    phone.push()

    (rescued,) = service.calls("rescue")
    assert len(rescued["text"]) == 50
    assert waiting(phone) == []
