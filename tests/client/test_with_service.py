"""The reference client and the service: what is entered without a signal arrives once, and both hold the same."""

import json
from random import Random

import pytest
from django.db import connection, transaction
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stewardship.accounts import devices
from stewardship.journal.ids import new_id
from stewardship.journal.models import Book, Revision
from stewardship.places.models import Property
from stewardship.sync.models import Mutation
from tests.client.in_hand import Valley, find_a_signal, in_hand, sign_in_anew
from tests.client.transport import Answer, InProcess, OverHttp

pytestmark = pytest.mark.django_db


def newest(group_id, *audiences):
    """Return what the book says of each record now: id -> (type, rev, text)."""
    found = Revision.objects.filter(group_id=group_id).order_by("seq")
    told = found.filter(audience__in=audiences) if audiences else found
    return {str(each.record_id): (each.kind, each.rev, each.content) for each in told}


def test_what_is_entered_without_a_signal_arrives_and_comes_back(coordinator, volunteer):
    valley = Valley()
    valley.has_signal = False
    here, there = in_hand(coordinator, transport=valley), in_hand(volunteer)
    id = here.create("property", {"name": "Fen – Böschung \u2028 \x7f"})
    here.amend(id, {"note": "wet"}, "seen today")
    find_a_signal(here)
    assert Property.objects.count() == 0

    valley.has_signal = True
    find_a_signal(here, there)

    assert here.store.records() == newest(coordinator.group_id)
    assert there.store.records() == newest(coordinator.group_id, "group", str(volunteer.person.id))
    assert there.sees(id).says["name"] == "Fen – Böschung \u2028 \x7f"
    book = Book.objects.get(group_id=coordinator.group_id)
    assert (there.store["head"], there.store["head_hash"]) == (book.head, book.head_hash)


def test_whatever_answers_get_lost_everything_is_done_once(coordinator):
    """Invariant I4."""
    valley, random = Valley(), Random(4)
    phone = in_hand(coordinator, transport=valley, most=3)
    for number in range(30):
        phone.create("property", {"name": f"Fen {number}"})
    while phone.store.outbox():
        valley.loses_answers, phone.wait_until = random.randrange(3), 0.0
        phone.push()

    assert sorted(Property.objects.values_list("name", flat=True)) == sorted(f"Fen {i}" for i in range(30))
    assert Mutation.objects.filter(device_id=coordinator.device.id).count() == 30


def test_a_clone_of_a_device_loses_and_overwrites_nothing(coordinator):
    """Invariant I17: the second one to push finds its numbers used, and goes on as a device of its own."""
    first = in_hand(coordinator)
    first.create("property", {"name": "before"})
    find_a_signal(first)
    second = in_hand(coordinator)
    second.store.db.deserialize(first.store.db.serialize())
    for phone, name in ((first, "one"), (second, "two"), (first, "three"), (second, "four")):
        phone.create("property", {"name": name})
        find_a_signal(phone)

    find_a_signal(first)

    assert {each.name for each in Property.objects.all()} == {"before", "one", "two", "three", "four"}
    assert first.store["device"] != second.store["device"]
    assert first.store["token"] == second.store["token"], "nobody has to sign in"
    assert first.store.records() == second.store.records() == newest(coordinator.group_id)


def test_a_restored_service_gets_back_what_it_forgot(coordinator):
    """Invariant I18: with another epoch every device hands in anew what it still keeps."""
    phones = [in_hand(coordinator), in_hand(coordinator)]
    sign_in_anew(phones[1], coordinator)
    for phone in phones:
        phone.create("property", {"name": "kept"})
        find_a_signal(phone)
    with_backup(coordinator, lambda: [forgotten(phone) for phone in phones])

    find_a_signal(*phones)
    find_a_signal(*phones)

    assert sorted(Property.objects.values_list("name", flat=True)) == ["forgotten", "forgotten", "kept", "kept"]
    assert phones[0].store.records() == phones[1].store.records() == newest(coordinator.group_id)


def forgotten(phone):
    phone.create("property", {"name": "forgotten"})
    find_a_signal(phone)


def with_backup(coordinator, act):
    """Do something, and set the service back to where it was before."""
    backup = transaction.savepoint()
    act()
    assert Property.objects.filter(name="forgotten").count() == 2
    transaction.savepoint_rollback(backup)
    Book.objects.filter(group_id=coordinator.group_id).update(epoch=new_id())


def test_a_role_that_is_lost_takes_its_records_off_the_device_and_leaves_what_is_not_sent(cast):
    """Invariant I13."""
    phone = in_hand(cast.volunteer)
    cast.coordinator.does("member", "amend", id=cast.volunteer.member.id, role="coordinator")
    cast.other_volunteer.does("emergency_contact", "create", name="Somebody", phone="+1 312 555 0199")
    find_a_signal(phone)
    assert phone.store.records() == newest(cast.group.id)
    cast.coordinator.does("member", "amend", id=cast.volunteer.member.id, role="volunteer")
    phone.create("work_line", {"unit": phone.new_id()})

    assert phone.pull() is True

    assert phone.store.records() == newest(cast.group.id, "group", str(cast.volunteer.person.id))
    assert len(phone.store.outbox()) == 1


def test_who_leaves_reads_nothing_more_and_loses_nothing(cast):
    phone = in_hand(cast.volunteer)
    find_a_signal(phone)
    mid = phone.enter("work_line", "create", {"id": phone.new_id()})
    cast.coordinator.does("member", "end", id=cast.volunteer.member.id)

    find_a_signal(phone)

    assert phone.store.records() == {}
    assert Mutation.objects.get(mid=mid).outcome == "held"
    assert phone.to_show()[0][0] == mid


def test_a_revoked_device_signs_in_again_and_loses_nothing(coordinator):
    phone = in_hand(coordinator)
    phone.create("property", {"name": "before"})
    find_a_signal(phone)
    devices.revoke(coordinator.device, at=timezone.now())
    id = phone.create("property", {"name": "after"})
    find_a_signal(phone)
    assert phone.needs == "sign_in"
    assert not Property.objects.filter(id=id).exists()

    sign_in_anew(phone, coordinator)
    find_a_signal(phone)

    assert phone.store.outbox() == []
    assert phone.store.records() == newest(coordinator.group_id)
    assert Property.objects.filter(name="before").count() == 1


def test_what_the_service_cannot_read_is_kept_there_as_text_once(coordinator):
    phone, deep = in_hand(coordinator), {}
    for _ in range(40):
        deep = {"name": deep}
    for name in ("one", "two", deep, "three", "four"):
        phone.create("property", {"name": name})
    unread = phone.store.outbox()[2].mid
    find_a_signal(phone)
    sign_in_anew(phone, coordinator)

    find_a_signal(phone)

    assert phone.store.outbox() == []
    assert sorted(Property.objects.values_list("name", flat=True)) == ["four", "one", "three", "two"]
    (kept,) = Mutation.objects.filter(outcome="held")
    assert unread in kept.payload
    assert [(mid, told["code"]) for mid, told in phone.to_show()] == [(unread, "unreadable")]


def test_the_service_says_how_much_it_takes(coordinator, former):
    for who in (coordinator, former):
        phone = in_hand(who, most=10_000, page=10_000)

        phone.hello()

        assert (phone.most, phone.page, phone.most_rescued, phone.needs) == (500, 2000, 100_000, "")


# -- pages ----------------------------------------------------------------------------------------


@settings(deadline=None, max_examples=12, suppress_health_check=list(HealthCheck))
@given(pages=st.lists(st.integers(1, 9), min_size=1, max_size=6), last=st.integers(1, 50), seed=st.integers(0, 99))
def test_pulling_to_anywhere_and_on_is_pulling_at_once(coordinator, pages, last, seed):
    """Invariant I7: in pages of any size, broken off anywhere, while others go on writing."""
    begin, random, phone = transaction.savepoint(), Random(seed), in_hand(coordinator)
    fens = [coordinator.does("property", "create", name=f"Fen {n}").record.id for n in range(3)]
    for size in pages:
        phone.page = size
        page = phone._ask("pull", {"cursor": phone.store["staged_cursor"] or phone.store["cursor"], "limit": size})
        phone._after_pull(page)
        coordinator.does("property", "amend", id=random.choice(fens), name=f"after {size} {random.random()}")
    phone.page = last
    assert phone.pull() is True

    at_once = in_hand(coordinator)
    at_once.pull()

    assert phone.store.records() == at_once.store.records() == newest(coordinator.group_id)
    transaction.savepoint_rollback(begin)


def test_a_page_moves_no_cursor_past_what_was_written_while_it_was_read(coordinator):
    """Invariant I3: whatever is written between any two statements of a pull comes with the next one."""
    for number in range(6):
        phone = in_hand(coordinator)
        phone.pull()
        coordinator.does("property", "create", name=f"before {number}")
        with writing_after(number, lambda number=number: coordinator.does("property", "create", name=f"in {number}")):
            phone.pull()

        phone.pull()

        assert phone.store.records() == newest(coordinator.group_id)


class writing_after:  # noqa: N801
    """Let something be written after the n-th statement that reads the book."""

    def __init__(self, number, writes):
        self.left, self.writes = number, writes

    def __enter__(self):
        self.wrapper = connection.execute_wrapper(self)
        self.wrapper.__enter__()

    def __exit__(self, *told):
        self.wrapper.__exit__(*told)

    def __call__(self, execute, sql, params, many, context):
        done = execute(sql, params, many, context)
        if "journal_" in sql and self.writes and self.left == 0:
            writes, self.writes = self.writes, None
            writes()
        elif "journal_" in sql:
            self.left -= 1
        return done


@pytest.mark.parametrize("encoding", ["identity", "gzip"])
def test_a_page_cut_at_every_byte_of_what_the_service_sends(coordinator, encoding):
    """Invariant I3: nothing of a cut page is taken in, and its cursor not kept; in the end every row is here."""
    for number in range(4):
        coordinator.does("property", "create", name=f"Fen {number}")
    cuts = Cutting(encoding)
    phone = in_hand(coordinator, transport=cuts, page=3)
    while phone.pull() is False:
        assert phone.store.records() == {}
        assert phone.store["staged_cursor"] == cuts.taken
        phone.wait_until = 0.0

    assert cuts.count > 1000
    assert cuts.encodings == {None if encoding == "identity" else encoding}
    assert phone.store.records() == newest(coordinator.group_id)


class Cutting:
    """Sends every page in one byte more than the time before, until it is whole; the service is asked once a page."""

    def __init__(self, encoding):
        self.encoding, self.encodings = encoding, set()
        self.whole, self.asked, self.cut, self.count, self.taken = None, "", 0, 0, None

    def send(self, method, path, headers, body):
        if self.asked != body:
            self.asked, self.cut, self.taken = body, 0, json.loads(body)["cursor"]
            self.whole = InProcess().send(method, path, {**headers, "Accept-Encoding": self.encoding}, body)
            self.encodings.add(self.whole.headers.get("content-encoding"))
        answer = Answer(self.whole.status, self.whole.headers, self.whole.body[: self.cut])
        self.cut, self.count = self.cut + 1, self.count + 1
        return answer


# -- a real connection -----------------------------------------------------------------------------


@pytest.mark.django_db(transaction=True)
def test_over_a_real_connection_it_is_the_same(live_server, coordinator, volunteer):
    here, there = (in_hand(who, transport=OverHttp(live_server.url)) for who in (coordinator, volunteer))
    id = here.create("property", {"name": "Fen"})
    find_a_signal(here, there)

    assert (there.sees(id).says["name"], here.store.records()) == ("Fen", newest(coordinator.group_id))
    nobody = in_hand(coordinator, transport=OverHttp("http://127.0.0.1:9", timeout_s=1))
    nobody.create("property", {"name": "Bog"})
    find_a_signal(nobody)
    assert len(nobody.store.outbox()) == 1
    assert nobody.wait_until > 0
