"""A sound book is proved, each fault is told by its name, and what is only new is none."""

import os
import threading
import time
from datetime import timedelta

import pytest
from django.db import DatabaseError, DataError, connection, transaction

from stewardship.journal import chain, contents, rows, verifying
from stewardship.journal.guard import guard_lifted
from stewardship.journal.ids import new_id
from stewardship.journal.models import Book, Revision
from stewardship.journal.verifying import Verification, groups
from stewardship.places.models import Property
from tests.cast import AT
from tests.stewardship.journal.damage import undone

pytestmark = pytest.mark.django_db


@pytest.fixture
def meadow(coordinator):
    """Give a property with two revisions."""
    made = coordinator.does("property", "create", name="Fen Edge").record
    return coordinator.does("property", "amend", id=made.id, note="wet in spring").record


def verified(record, heads=None):
    verification = Verification(record.group_id, heads)
    return verification, [(each.code, each.detail) for each in verification.findings()]


def codes(record, heads=None):
    return [code for code, _ in verified(record, heads)[1]]


def damage(record, number, **values):
    """Change a revision of a record with the guard away."""
    with guard_lifted(connection):
        Revision.objects.filter(record_id=record.id, rev=number).update(**values)


# -- a sound book ------------------------------------------------------------------------------------


def test_a_sound_book_is_proved_and_what_was_looked_at_is_told(meadow):
    verification, found = verified(meadow)

    book = Book.objects.get(group_id=meadow.group_id)
    assert found == []
    assert (verification.head, verification.head_hash) == (book.head, book.head_hash)
    assert verification.revisions == Revision.objects.filter(group_id=meadow.group_id).count() == book.head
    assert verification.records == Revision.objects.filter(group_id=meadow.group_id, rev=1).count()


@pytest.mark.parametrize("page", [1, 2, 3, 5])
def test_pages_of_any_size_find_the_same(meadow, monkeypatch, tampering, page):
    monkeypatch.setattr(verifying, "PAGE", page)
    assert codes(meadow) == []

    damage(meadow, 1, reason="because")
    Property.objects.filter(id=meadow.id).update(note="dry")

    assert codes(meadow) == ["chain_broken", "record_differs"]


def test_every_group_with_a_book_or_revisions_or_a_row_of_its_own_is_looked_at(cast, tampering):
    both = sorted([cast.coordinator.group_id, cast.stranger.group_id])
    assert groups() == both

    Book.objects.filter(group_id=cast.stranger.group_id).delete()

    assert groups() == both


def test_a_book_is_proved_while_others_write_in_it(meadow, coordinator, monkeypatch):
    """What is appended between two pages is read as well, and a record that changes meanwhile is no fault."""
    monkeypatch.setattr(verifying, "PAGE", 2)
    verification, read = Verification(meadow.group_id), verifying._page_of_lines

    def read_and_write(lines):
        page = read(lines)
        if verification.head < 20:
            coordinator.does("property", "amend", id=meadow.id, note=f"after {verification.head}")
        return page

    monkeypatch.setattr(verifying, "_page_of_lines", read_and_write)

    assert list(verification.findings()) == []
    assert verification.head == Book.objects.get(group_id=meadow.group_id).head


def test_a_record_that_changes_between_its_revisions_and_its_row_is_no_fault(meadow, coordinator, monkeypatch):
    read = verifying._rows

    def write_and_read(model, *args):
        if model is Property:
            coordinator.does("property", "amend", id=meadow.id, note="changed meanwhile")
        return read(model, *args)

    monkeypatch.setattr(verifying, "_rows", write_and_read)

    assert codes(meadow) == []


def test_a_column_that_is_younger_than_a_revision_holds_what_it_was_made_with(meadow, tampering):
    """A revision of before a migration does not say the new column: the row may hold its default and nothing else."""
    newest = Revision.objects.get(record_id=meadow.id, rev=2)
    older = {name: value for name, value in meadow.content().items() if name not in ("map_number", "address")}
    content = contents.canonical(older)
    _write_anew(newest, content=content, content_hash=chain.content_hash(newest.salt, content))
    assert codes(meadow) == []

    Property.objects.filter(id=meadow.id).update(map_number="12")

    assert verified(meadow)[1] == [
        ("record_differs", f"property {meadow.id} says something else than its newest revision: map_number.")
    ]


def _write_anew(revision, **values):
    """Write the newest revision of a book as if it had said this from the first."""
    before = Revision.objects.get(group_id=revision.group_id, seq=revision.seq - 1).hash
    vars(revision).update(values)
    told = chain.Told(*(getattr(revision, name) for name in chain.Told._fields))
    revision.hash = chain.seal(before, revision.seq, told, revision.content_hash)
    damage(revision_of(revision), revision.rev, hash=revision.hash, **values)
    Book.objects.filter(group_id=revision.group_id).update(head_hash=revision.hash)


def revision_of(revision):
    return Property.objects.get(id=revision.record_id)


# -- a remembered head ---------------------------------------------------------------------------------


def test_a_head_that_was_remembered_is_compared(meadow):
    seq, sealed = Revision.objects.filter(record_id=meadow.id).values_list("seq", "hash").first()

    assert codes(meadow, {seq: sealed}) == []
    assert codes(meadow, {seq: "0" * 64}) == ["head_differs"]
    assert codes(meadow, {seq + 99: sealed}) == ["head_beyond"]


# -- faults --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ({"kind": "unit"}, {"chain_broken", "kind_changed", "record_missing"}),
        ({"kind": "unheard_of"}, {"chain_broken", "kind_changed", "record_missing"}),
        ({"op": "void"}, {"chain_broken"}),
        ({"reason": "because"}, {"chain_broken"}),
        ({"mid": new_id()}, {"chain_broken"}),
        ({"device_id": new_id()}, {"chain_broken"}),
        ({"at": AT + timedelta(microseconds=1)}, {"chain_broken"}),
        ({"audience": "coordinators"}, {"chain_broken", "kind_changed", "audience_wrong"}),
        ({"content": '{"name":"Elsewhere"}'}, {"content_differs"}),
        ({"salt": "0" * 32}, {"content_differs"}),
        ({"content_hash": "0" * 64}, {"content_differs", "chain_broken"}),
        ({"hash": "0" * 64}, {"chain_broken", "head_hash_wrong"}),
        ({"content": None, "salt": None}, {"content_missing", "newest_erased"}),
        ({"content": None}, {"content_half_empty"}),
        ({"salt": None}, {"content_half_empty"}),
        ({"rev": 9}, {"chain_broken", "revisions_broken", "rev_wrong"}),
        ({"seq": 99}, {"numbers_broken", "chain_broken", "head_wrong"}),
    ],
)
def test_a_fault_of_a_revision_is_told_by_its_name(meadow, tampering, values, expected):
    damage(meadow, 2, **values)

    assert set(codes(meadow)) == expected


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ({"name": "Elsewhere"}, "record_differs"),
        ({"rev": 3}, "rev_wrong"),
        ({"entered_at": AT + timedelta(hours=1)}, "entry_wrong"),
        ({"entered_by_id": new_id()}, "entry_wrong"),
        ({"boundary": {"type": "Point"}}, "record_differs"),
    ],
)
def test_a_fault_of_a_record_is_told_by_its_name(meadow, tampering, values, expected):
    Property.objects.filter(id=meadow.id).update(**values)

    assert codes(meadow) == [expected]
    Property.objects.filter(id=meadow.id).update(entered_by_id=meadow.entered_by_id)


def test_a_unit_beside_an_amount_that_nobody_stated_is_a_fault(coordinator, tampering):
    from stewardship.treatments.models import Application
    from tests.ground import lay_out

    ground = lay_out(coordinator)
    line = ground.line(ground.session(), ground.batch(), "5")
    Application.objects.filter(id=line.id).update(area_unit="acre")

    assert verified(line)[1] == [
        ("record_differs", f"application {line.id} says something else than its newest revision: area.")
    ]


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ({"head": 99}, ["head_wrong"]),
        ({"head": 1}, ["head_wrong"]),
        ({"head_hash": "0" * 64}, ["head_hash_wrong"]),
    ],
)
def test_a_fault_of_the_book_is_told_by_its_name(meadow, tampering, values, expected):
    Book.objects.filter(group_id=meadow.group_id).update(**values)

    assert codes(meadow) == expected


def test_a_group_without_a_book_is_told(meadow, tampering):
    Book.objects.filter(group_id=meadow.group_id).delete()

    assert codes(meadow) == ["book_missing"]


def test_a_record_that_is_in_no_book_is_told(meadow, tampering):
    ghost = new_id()
    Property.objects.create(
        id=ghost, group_id=meadow.group_id, name="Ghost", entered_by_id=meadow.entered_by_id, entered_at=AT
    )

    assert verified(meadow)[1] == [("record_unwritten", f"property {ghost} is not in the book.")]


def test_a_record_that_is_gone_is_told(meadow, tampering):
    Property.objects.filter(id=meadow.id).delete()

    assert codes(meadow) == ["record_missing"]


def test_two_revisions_of_a_record_in_the_wrong_order_are_told(meadow, tampering):
    damage(meadow, 1, rev=77)
    damage(meadow, 2, rev=1)
    damage(meadow, 77, rev=2)

    assert "revisions_unordered" in codes(meadow)


@pytest.mark.parametrize("column", ["mid", "at", "record_id", "by_id", "device_id", "rev", "seq"])
def test_what_cannot_be_read_is_a_fault_and_no_crash(meadow, tampering, column):
    """SQLite keeps any value in any column; PostgreSQL keeps what the column can hold and nothing else."""
    told = f"UPDATE journal_revision SET {column} = 'gibberish' WHERE record_id = %s AND rev = 2"
    with undone(), connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute(told, [meadow.id.hex])
            assert codes(meadow)
        else:
            with pytest.raises(DataError), transaction.atomic():
                cursor.execute(told, [meadow.id])


@pytest.mark.parametrize(
    ("column", "kept"),
    [
        ("accounts_member.suspended_at", {"sqlite": "'tampered'", "postgresql": "'infinity'"}),
        ("accounts_member.suspended_at", {"sqlite": "'now'", "postgresql": "'-infinity'"}),
        ("accounts_member.entered_at", {"sqlite": "replace(entered_at, ' ', 'T')"}),
        ("accounts_member.person_id", {"sqlite": "'{' || person_id || '}'"}),
        ("accounts_group.wants_waivers", {"sqlite": "'tampered'"}),
        ("accounts_group.wants_waivers", {"sqlite": "2"}),
        ("places_property.boundary", {"sqlite": "'null'", "postgresql": "'null'"}),
        ("journal_revision.mid", {"sqlite": "'{' || mid || '}'"}),
        ("journal_revision.at", {"sqlite": "at || '.000000Z'"}),
    ],
)
def test_a_value_in_a_form_that_nobody_writes_is_a_fault(meadow, tampering, column, kept):
    """It may be read as what was written or as nothing, while a query compares what stands there.

    SQLite keeps any text anywhere; PostgreSQL moments that Python does not know. Both have two ways to say nothing.
    """
    table, name = column.split(".")
    with undone(), connection.cursor() as cursor:
        change = f"UPDATE {table} SET {name} = {kept.get(connection.vendor, kept['sqlite'])}"
        if connection.vendor not in kept:
            with pytest.raises(DatabaseError), transaction.atomic():
                cursor.execute(change)
            return
        cursor.execute(change)

        is_read = connection.vendor == "sqlite" or name == "boundary"
        assert set(codes(meadow)) == {"value_malformed" if is_read else "record_unreadable"}


def test_an_id_that_stands_behind_all_others_as_text_is_a_fault_and_ends(meadow, tampering, monkeypatch):
    """In the order of texts it would come after itself, again and again."""
    change = "UPDATE journal_revision SET record_id = '{' || record_id || '}' WHERE seq = 2"
    with undone(), connection.cursor() as cursor:
        if connection.vendor != "sqlite":
            with pytest.raises(DatabaseError), transaction.atomic():
                cursor.execute(change)
            return
        cursor.execute(change)
        for page in (1, 2000):
            monkeypatch.setattr(verifying, "PAGE", page)
            assert {"value_malformed", "records_not_compared"} <= set(codes(meadow))


# -- how much it takes ---------------------------------------------------------------------------------


@pytest.mark.heavy
def test_a_million_revisions_are_verified_in_three_minutes_and_fifty_megabytes(
    coordinator, tampering, record_testsuite_property
):
    records, revs = 250_000, 4
    _fill(coordinator, records, revs)
    verification, began = Verification(coordinator.group_id), time.monotonic()

    with Memory() as memory:
        found = list(verification.findings())

    took_s = time.monotonic() - began
    record_testsuite_property("seconds, megabytes", (round(took_s), round(memory.grown_mb)))
    assert found == []
    assert verification.revisions > records * revs
    assert took_s < 180, f"{took_s:.0f} s"
    assert memory.grown_mb < 50, f"{memory.grown_mb:.0f} MB"


class Memory:
    """Watches how much memory the process takes in a block beyond what it took before."""

    def __enter__(self):
        self.before, self.most, self.is_over = _resident_mb(), 0.0, threading.Event()
        self.watch = threading.Thread(target=self._look, daemon=True)
        self.watch.start()
        return self

    def _look(self):
        while not self.is_over.wait(0.05):
            self.most = max(self.most, _resident_mb())

    def __exit__(self, *_):
        self.is_over.set()
        self.watch.join()

    @property
    def grown_mb(self):
        return max(0.0, self.most - self.before)


def _resident_mb():
    with open("/proc/self/statm") as file:
        return int(file.read().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6


def _fill(someone, records, revs):
    """Write this many properties, each changed some times, sealed as an entry seals them."""
    book, by, group = Book.objects.get(group_id=someone.group_id), someone.person.id, someone.group_id
    columns = [f.attname for f in Property._meta.concrete_fields]
    for begin in range(0, records, 5000):
        made = [Property(id=new_id(), group_id=group, name=f"Fen {i}", rev=revs, entered_by_id=by, entered_at=AT)
                for i in range(begin, begin + 5000)]  # fmt: skip
        lines = []
        for rev in range(1, revs + 1):
            for each in made:
                each.note = f"seen {rev} times"
                lines.append(_sealed(book, each, rev, by))
        rows.insert(Property, [[getattr(each, name) for name in columns] for each in made])
        rows.insert(Revision, lines)
    book.save()


def _sealed(book, record, rev, by):
    book.head += 1
    content, salt = contents.canonical(record.content()), "5a" * 16
    told = chain.Told(book.group_id, "property", record.id, rev, "amend", record.id, by, None, AT, "", "group")
    content_hash = chain.content_hash(salt, content)
    book.head_hash = chain.seal(book.head_hash, book.head, told, content_hash)
    return (book.group_id, book.head, *told[1:], content, salt, content_hash, book.head_hash)
