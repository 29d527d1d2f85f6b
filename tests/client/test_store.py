"""What a device keeps: whatever ends it and whenever, copy and cursor tell of the same place, and no entry is lost."""

import sqlite3

import pytest

from tests.client.pages import read_page
from tests.client.scripted import device, lines, page, put, refuses, takes_all
from tests.client.store import Store, store_for
from tests.client.transport import Answer


class PowerCut(Exception):
    """The battery is empty."""


class FailingAt:
    """A connection that gives out before its k-th statement."""

    def __init__(self, db, k):
        self.db, self.left = db, k

    def execute(self, sql, *values):
        if sql not in ("ROLLBACK",):
            self._count()
        return self.db.execute(sql, *values)

    def executemany(self, sql, values):
        self._count()
        return self.db.executemany(sql, values)

    def _count(self):
        self.left -= 1
        if self.left < 0:
            raise PowerCut


def told(store):
    """Return everything that is kept."""
    return [
        row for table in ("kept", "entries", "records", "staged") for row in store.db.execute(f"SELECT * FROM {table}")
    ]


def at_each_statement(store, act):
    """Let the act break off before each of its statements, and give what was kept then; at last it goes through."""
    for k in range(200):
        whole = store.db
        store.db = FailingAt(whole, k)
        try:
            act()
        except PowerCut:
            store.db = whole
            yield told(store)
        else:
            store.db = whole
            return
    raise AssertionError("it never went through")


def test_each_person_has_a_file_of_their_own(tmp_path):
    places = {store_for(tmp_path, group, person) for group in ("g", "h") for person in ("p", "q")}

    assert len(places) == 4
    for place in places:
        Store(place).enter({"mid": place.name}, None)
    assert all(list(Store(place).entered()) == [place.name] for place in places)


def test_what_is_kept_outlives_the_app(tmp_path):
    phone, _, _ = device(page(put("a"), cursor="x"), store=Store(tmp_path / "kept"))
    phone.pull()
    mid = phone.enter("property", "create", {"name": "Fen"})

    again, service, _ = device(store=Store(tmp_path / "kept"))

    assert [each.mid for each in again.store.outbox()] == [mid]
    assert (list(again.store.records()), again.store["cursor"]) == (["a"], "x")
    again.push()
    assert service.calls("push")[0]["device"] == "device 1"


def test_an_entry_and_its_number_are_written_together():
    store = Store(":memory:")

    for kept in at_each_statement(store, lambda: store.enter({"mid": "a"}, None)):
        assert kept == []

    assert [each.n for each in store.outbox()] == [store["last_n"]] == [1]


def test_rows_and_cursor_are_written_together():
    """Pitfall: a checkpoint saved before its data skips them for ever."""
    store = Store(":memory:")
    store.stage(read_page(lines(put("a"), put("b"), cursor="first")))
    before = told(store)

    for kept in at_each_statement(store, lambda: store.stage(read_page(lines(put("b", 2), put("c"), cursor="second")))):
        assert kept == before

    assert store["cursor"] == "second"
    assert {id: rev for id, (_, rev, _) in store.records().items()} == {"a": 1, "b": 2, "c": 1}


def test_numbering_anew_is_all_or_nothing():
    store = Store(":memory:")
    for mid in "abc":
        store.enter({"mid": mid}, None)
    store.answer([{"mid": "a", "outcome": "applied"}], 1)
    before = told(store)

    for kept in at_each_statement(store, lambda: store.number_anew("device 2", "token 2")):
        assert kept == before

    assert [(each.n, each.mid) for each in store.outbox()] == [(1, "a"), (2, "b"), (3, "c")]


def test_nothing_is_read_of_a_pull_before_its_last_page_is_here():
    phone, _, _ = device(page(put("a"), cursor="1", more=True), Answer(503, {}, b""), page(put("b"), cursor="2"))
    phone.pull()
    assert (phone.store.records(), phone.store["cursor"]) == ({}, None)

    phone.wait_until = 0
    phone.pull()

    assert (sorted(phone.store.records()), phone.store["cursor"]) == (["a", "b"], "2")


def test_a_pull_goes_on_after_the_last_page_that_was_laid_aside():
    phone, service, _ = device(page(put("a"), cursor="1", more=True), Answer(503, {}, b""))
    phone.pull()

    phone.wait_until = 0
    phone.pull()

    assert [body["cursor"] for body in service.calls("pull")] == [None, "1", "1"]


def test_what_was_laid_aside_for_others_is_dropped_with_the_copy():
    phone, _, _ = device(
        page(put("a")), page(put("hidden"), cursor="1", more=True), refuses(410, "cursor_gone"), page(put("b")),
    )  # fmt: skip
    phone.pull()

    phone.pull()

    assert list(phone.store.records()) == ["b"]


def test_an_older_state_never_takes_the_place_of_a_newer_one():
    store = Store(":memory:")
    store.stage(read_page(lines(put("a", 3, name="new"), put("a", 2, name="old"), put("b", 1))))
    store.stage(read_page(lines(put("a", 3, name="said again"))))

    assert store.record("a").says == {"name": "said again"}


def test_what_was_erased_has_no_content():
    store = Store(":memory:")
    store.stage(read_page(lines(put("a"))))
    store.stage(read_page(lines(put("a", 2) | {"d": None})))

    assert (store.record("a").rev, store.record("a").says) == (2, None)


@pytest.mark.parametrize(("later", "is_kept"), [("2027-05-30T23:59:59", True), ("2027-05-31T00:00:01", False)])
def test_the_sent_box_keeps_an_entry_for_thirty_days_after_a_pull_has_passed_it(later, is_kept):
    passed, again = "2027-05-01T00:00:00.000000Z", f"{later}.000000Z"
    phone, _, clock = device(takes_all, page(server_time=passed), page(server_time=again))
    mid = phone.enter("property", "create", {"name": "a"})
    clock.now = clock.now.replace(year=2040)
    phone.sync()

    phone.pull()

    assert (list(phone.store.entered()) == [mid]) is is_kept


def test_the_sent_box_keeps_what_no_pull_has_passed_however_long():
    phone, _, _ = device(takes_all, page(head=0), page(head=0, server_time="2029-01-01T00:00:00.000000Z"))
    mid = phone.enter("property", "create", {"name": "a"})
    phone.sync()

    phone.pull()

    assert list(phone.store.entered()) == [mid]


def test_the_outbox_is_never_forgotten():
    phone, _, _ = device(page(), page(server_time="2039-01-01T00:00:00.000000Z"))
    mid = phone.enter("property", "create", {"name": "a"})
    phone.pull()

    phone.pull()

    assert [each.mid for each in phone.store.outbox()] == [mid]


def test_an_entry_stands_there_once():
    store = Store(":memory:")
    store.enter({"mid": "a"}, None)

    with pytest.raises(sqlite3.IntegrityError):
        store.enter({"mid": "a"}, None)

    assert store["last_n"] == 1
