"""A pull gives what changed since a cursor, all of it and nothing else, whatever the pages."""

import json
import re
from dataclasses import replace

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.journal.ids import new_id
from stewardship.journal.models import Book, Revision
from stewardship.places.models import Property
from stewardship.sync.pull import Cursor, CursorGone, CursorUnreadable, pull
from tests.cast import sent

pytestmark = pytest.mark.django_db
TIME = "2027-05-01T15:00:00.000000Z"


def page(someone, cursor=None, limit=2000):
    """Return the puts and the end line of one page."""
    start, *puts, end = [json.loads(line) for line in pulled(someone, cursor, limit).splitlines()]
    assert (start["k"], end["k"], {put["k"] for put in puts} <= {"put"}) == ("start", "end", True)
    assert end.keys() == {"k", "cursor", "more", "head", "head_hash", "poll_after_s"}
    return puts, end


def pulled(someone, cursor=None, limit=2000):
    return pull(cursor, actor=someone.actor, limit=limit, server_time=TIME)


def catch_up(someone, state, cursor, limit):
    """Pull until there is no more; return the state of every record and the last cursor."""
    state, more = dict(state), True
    while more:
        puts, end = page(someone, cursor, limit)
        for put in puts:
            if put["r"] >= state.get(put["id"], {"r": 0})["r"]:
                state[put["id"]] = put
        cursor, more = end["cursor"], end["more"]
    return state, cursor


@pytest.fixture
def history(coordinator):
    """Give a book with some twenty revisions, records changed over and over among them."""
    fens = [coordinator.does("property", "create", name=f"Fen {i}").record for i in range(3)]
    for round in range(4):
        coordinator.does("property", "amend", id=fens[round % 3].id, name=f"Round {round}")
        coordinator.does("unit", "create", name=f"Unit {round}", property=fens[0].id)
    return coordinator


# -- what is given ---------------------------------------------------------------------------------


def test_a_first_pull_gives_every_record_as_it_stands_and_the_head(history):
    puts, end = page(history)

    book = Book.objects.get(group_id=history.group_id)
    assert (end["head"], end["head_hash"], end["more"]) == (book.head, book.head_hash, False)
    newest = {put["id"]: put for put in puts}
    for record in Property.objects.all():
        assert newest[str(record.id)] | {"q": None} == {
            "k": "put", "q": None, "t": "property", "id": str(record.id), "r": record.rev, "d": record.content(),
        }  # fmt: skip


def test_the_text_of_a_state_is_the_one_that_was_hashed(history):
    told = pulled(history).decode()

    assert all(
        f'"d":{content}}}' in told
        for content in Revision.objects.filter(group_id=history.group_id).values_list("content", flat=True)
    )


def test_nothing_new_is_nothing_and_costs_two_look_ups(history):
    _, end = page(history)

    with CaptureQueriesContext(connection) as seen:
        puts, again = page(history, end["cursor"])

    assert (puts, again["head"], again["more"]) == ([], end["head"], False)
    assert len(seen) == 2


def test_what_is_new_comes_with_the_next_pull(history):
    _, end = page(history)
    made = history.does("property", "create", name="New").record

    puts, _ = page(history, end["cursor"])

    assert [put["id"] for put in puts] == [str(made.id)]


def test_an_erased_content_is_told_as_null(history, tampering):
    newest = Revision.objects.filter(group_id=history.group_id).latest("seq")
    Revision.objects.filter(group_id=history.group_id, seq=newest.seq).update(content=None, salt=None)

    assert page(history)[0][-1]["d"] is None


@pytest.mark.parametrize("limit", [1, 2, 3, 7, 1000])
def test_pages_are_as_long_as_asked_and_say_whether_there_is_more(history, limit):
    whole, _ = page(history)
    found, cursor, more = [], None, True
    while more:
        puts, end = page(history, cursor, limit)
        assert len(puts) <= limit
        assert end["more"] is (len(found) + len(puts) < len(whole))
        found, cursor, more = found + puts, end["cursor"], end["more"]

    assert found == whole


def test_pulling_to_anywhere_and_on_gives_what_pulling_at_once_gives(cast):
    """Invariant I7: state after pulling to c and then to h = state after pulling to h, for every c and page size."""
    fen = cast.coordinator.does("property", "create", name="Fen").record
    contact = cast.volunteer.does("emergency_contact", "create", name="Pip", phone="555 0100").record
    cast.other_volunteer.does("emergency_contact", "create", name="Nell", phone="555 0101")
    cast.coordinator.does("property", "amend", id=fen.id, name="Fen Edge")
    cast.volunteer.does("emergency_contact", "amend", id=contact.id, phone="555 0102")
    cast.coordinator.does("property", "amend", id=fen.id, note="wet")

    for someone in (cast.coordinator, cast.volunteer):
        at_once, last = catch_up(someone, {}, None, 2000)
        puts, head = page(someone)[0], Book.objects.get(group_id=cast.group.id).head
        for cut in range(head + 1):
            state = {put["id"]: put for put in puts if put["q"] <= cut}
            onward = replace(Cursor.read(last), seq=cut).text()
            for size in range(1, head - cut + 2):
                assert catch_up(someone, state, onward, size) == (at_once, last)


# -- what it costs -----------------------------------------------------------------------------------


@pytest.mark.parametrize("who", ["coordinator", "volunteer"])
def test_a_page_and_a_look_for_what_is_new_are_ranges_of_an_index(cast, who):
    """Invariant I22: nothing of the book is scanned or sorted, however long it is, and of whomever."""
    for someone in (cast.coordinator, cast.stranger):
        for _ in range(3):
            someone.pushes(*[sent("property", "create", {"name": str(n)}) for n in range(400)])
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    someone = getattr(cast, who)
    end = page(someone)[1]

    with CaptureQueriesContext(connection) as seen:
        page(someone, None, 50), page(someone, end["cursor"])

    plans = [plan_of(each["sql"]) for each in seen if 'FROM "journal_revision"' in each["sql"]]
    assert len(plans) == 2
    for plan in plans:
        told = {"sqlite": "SEARCH journal_revision USING INDEX", "postgresql": "Index Scan using journal_revision_pkey"}
        assert told[connection.vendor] in plan
        assert "seq>?" in plan or "(seq > " in plan
        assert not re.search("SCAN|TEMP B-TREE|Sort|Seq Scan|Bitmap", plan), plan


def plan_of(sql):
    """Return how the engine would go about a statement, in its own words."""
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN {'QUERY PLAN ' if connection.vendor == 'sqlite' else ''}{sql}")
        return "\n".join(str(row[-1]) for row in cursor.fetchall())


# -- whose it is -----------------------------------------------------------------------------------


@pytest.fixture
def private(monkeypatch):
    """Let a property whose note names an audience be for that audience only."""
    monkeypatch.setattr(Property, "audience", lambda self: self.note or "group")


def test_each_gets_what_is_for_them(cast, private):
    for note in ("", "coordinators", str(cast.volunteer.person.id)):
        cast.coordinator.does("property", "create", name=f"for {note}", note=note)

    seen = {
        name: sum(put["t"] == "property" for put in page(getattr(cast, name))[0])
        for name in ("coordinator", "volunteer", "other_volunteer", "reviewer", "stranger")
    }

    assert seen == {"coordinator": 3, "volunteer": 2, "other_volunteer": 1, "reviewer": 1, "stranger": 0}


def test_what_is_hidden_changes_nothing_but_the_head(cast, private):
    before, _ = page(cast.volunteer)
    cast.coordinator.does("property", "create", name="hidden", note="coordinators")

    puts, end = page(cast.volunteer)

    assert puts == before
    assert end["head"] == Book.objects.get(group_id=cast.group.id).head
    assert page(cast.volunteer, end["cursor"])[0] == []


def test_a_change_of_role_asks_for_a_new_beginning(cast):
    _, end = page(cast.volunteer)
    cast.coordinator.does("member", "amend", id=cast.volunteer.member.id, role="coordinator")
    cast.volunteer.read_again()

    with pytest.raises(CursorGone) as refused:
        page(cast.volunteer, end["cursor"])

    assert refused.value.code == "cursor_gone"


def test_a_restored_book_asks_for_a_new_beginning(coordinator):
    _, end = page(coordinator)
    Book.objects.filter(group_id=coordinator.group_id).update(epoch=new_id())

    with pytest.raises(CursorGone):
        page(coordinator, end["cursor"])


def test_another_schema_asks_for_a_new_beginning(coordinator, monkeypatch):
    _, end = page(coordinator)
    cursor = Cursor.read(end["cursor"])

    with pytest.raises(CursorGone):
        page(coordinator, Cursor(cursor.group, cursor.epoch, cursor.seq, cursor.audiences, schema=2).text())


def test_the_cursor_of_another_group_is_none(coordinator, stranger):
    _, end = page(stranger)

    with pytest.raises(CursorUnreadable):
        page(coordinator, end["cursor"])


@pytest.mark.parametrize(
    "damage",
    [
        lambda text: "",
        lambda text: "v1.",
        lambda text: text[:-1],
        lambda text: text[:-1] + ("A" if text[-1] != "A" else "B"),
        lambda text: "v1.W10" + text[6:],
        lambda text: text + "x",
        lambda text: "v2." + text[3:],
        lambda text: "\x00",
        lambda text: "é" * 100,
        lambda text: "\ud800",
        lambda text: ":" * 2000,
    ],
)
def test_a_damaged_cursor_is_refused(coordinator, damage):
    _, end = page(coordinator)

    with pytest.raises(CursorUnreadable) as refused:
        page(coordinator, damage(end["cursor"]))

    assert (refused.value.code, refused.value.where) == ("cursor_unreadable", "cursor")


def test_a_signed_text_of_another_kind_is_no_cursor(coordinator):
    from django.core import signing

    for value in ([1, 2], {"group": "x"}, "text", None, 7):
        with pytest.raises(CursorUnreadable):
            page(coordinator, "v1." + signing.Signer(salt="stewardship.sync.cursor").sign_object(value))
    other = signing.Signer(salt="another").sign_object([str(coordinator.group_id), "", 0, "all", 1])
    with pytest.raises(CursorUnreadable):
        page(coordinator, "v1." + other)


def test_a_push_is_seen_whole_by_the_next_pull(coordinator):
    _, before = page(coordinator)
    taken = coordinator.pushes(*[sent("property", "create", {"name": str(i)}) for i in range(40)])

    puts, end = page(coordinator, before["cursor"])

    assert [put["q"] for put in puts] == [result["seq"] for result in taken.results]
    assert end["head"] == taken.head
