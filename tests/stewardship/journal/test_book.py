"""One entry: what is staged and taken back, what is written and in which order."""

import json
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.accounts.models import Person
from stewardship.errors import IdTaken, RuleViolation
from stewardship.journal import contents
from stewardship.journal.book import Cause
from stewardship.journal.ids import new_id
from stewardship.journal.models import Book, Revision
from stewardship.places.models import Property, Unit
from tests.cast import AT

# ruff: noqa: PT012
pytestmark = pytest.mark.django_db


class Refused(RuleViolation):
    code = "refused"
    message = "No."


@pytest.fixture
def derived_area(monkeypatch, tampering):
    """Let a property's area be a derived column for the time of a test; what was written before is not audited."""
    monkeypatch.setattr(Property, "derived", frozenset({"area_mm2"}))
    contents.plan.cache_clear()
    yield
    contents.plan.cache_clear()


def revisions(record):
    return list(Revision.objects.filter(record_id=record.id).order_by("rev").values_list("rev", "content"))


def names(record):
    return [(rev, json.loads(content)["name"]) for rev, content in revisions(record)]


def head(someone):
    return Book.objects.get(group_id=someone.group_id).head


# -- staging ---------------------------------------------------------------------------------------


def test_a_new_record_gets_an_id_a_group_an_author_and_the_servers_time(coordinator, entry_of):
    with entry_of(coordinator) as entry:
        made = entry.create(Property, id=None, name="Fen Edge")

    stored = Property.objects.get(id=made.id)
    assert (stored.group_id, stored.entered_by_id, stored.entered_at, stored.rev) == (
        coordinator.group_id, coordinator.person.id, AT, 1,
    )  # fmt: skip
    assert names(stored) == [(1, "Fen Edge")]


def test_an_id_that_stands_for_a_record_is_taken(coordinator, entry_of, fen):
    with entry_of(coordinator) as entry:
        entry.load(Property, [fen.id])
        with pytest.raises(IdTaken):
            entry.create(Property, id=fen.id, name="Again")


def test_an_id_that_another_type_got_in_the_same_entry_is_taken(coordinator, entry_of):
    id = new_id()
    with entry_of(coordinator) as entry:
        fen = entry.create(Property, id=id, name="Fen Edge")
        with pytest.raises(IdTaken):
            entry.create(Unit, id=id, name="North", property_id=fen.id)


def test_a_column_that_does_not_exist_is_no_silent_nothing(coordinator, entry_of):
    with pytest.raises(TypeError, match="Property has no column colour"), entry_of(coordinator) as entry:
        entry.create(Property, id=None, name="Fen", colour="green")


def test_an_equal_value_is_no_change(coordinator, entry_of, fen):
    before = head(coordinator)
    with entry_of(coordinator) as entry, CaptureQueriesContext(connection) as seen:
        entry.change(entry.get(Property, fen.id), name="Fen Edge", note="")

        assert entry.mark() == 0

    assert head(coordinator) == before
    assert not any(q["sql"].startswith(("UPDATE", "INSERT")) for q in seen)


def test_a_derived_column_changes_without_a_revision(coordinator, derived_area, entry_of, fen):
    before = head(coordinator)
    with entry_of(coordinator) as entry:
        entry.change(entry.get(Property, fen.id), area_mm2=77)

        assert not entry.told_since(0)

    stored = Property.objects.get(id=fen.id)
    assert (stored.area_mm2, stored.rev, head(coordinator)) == (77, 1, before)


def test_a_derived_column_beside_a_told_one_is_one_revision(coordinator, derived_area, entry_of, fen):
    with entry_of(coordinator) as entry:
        entry.change(entry.get(Property, fen.id), area_mm2=77, name="Fen")

    stored = Property.objects.get(id=fen.id)
    assert (stored.area_mm2, stored.rev) == (77, 2)
    assert names(stored) == [(1, "Fen Edge"), (2, "Fen")]


def test_two_steps_of_one_record_are_two_revisions_each_with_what_it_said_then(coordinator, entry_of, fen):
    with entry_of(coordinator) as entry:
        record = entry.get(Property, fen.id)
        entry.cause = Cause(first := new_id(), "amend", "one")
        entry.change(record, name="Fen")
        entry.cause = Cause(second := new_id(), "amend", "two")
        entry.change(record, name="Edge")

    assert names(fen) == [(1, "Fen Edge"), (2, "Fen"), (3, "Edge")]
    told = Revision.objects.filter(record_id=fen.id, rev__gt=1).order_by("seq").values_list("mid", "reason")
    assert list(told) == [(first, "one"), (second, "two")]
    assert Property.objects.get(id=fen.id).name == "Edge"


def test_a_record_made_and_changed_in_one_entry_is_inserted_as_it_ends(coordinator, entry_of):
    with entry_of(coordinator) as entry:
        made = entry.create(Property, id=None, name="Fen")
        entry.change(made, name="Edge")
        with CaptureQueriesContext(connection) as seen:
            entry.write()

    assert names(made) == [(1, "Fen"), (2, "Edge")]
    assert (Property.objects.get().name, Property.objects.get().rev) == ("Edge", 2)
    assert not any('UPDATE "places_property"' in q["sql"] for q in seen)


# -- taking back -----------------------------------------------------------------------------------


def state(*records):
    return [{k: v for k, v in vars(record).items() if not k.startswith("_")} for record in records]


def test_a_broken_rule_takes_back_exactly_what_was_staged_inside(coordinator, entry_of, fen):
    other = coordinator.does("property", "create", name="Other").record
    person = Person(email="new@tamarack.example")
    with entry_of(coordinator) as entry:
        first, second = entry.get(Property, fen.id), entry.get(Property, other.id)
        entry.change(first, name="kept", area_mm2=5)
        before, mark = state(first, second), entry.mark()
        with pytest.raises(Refused), entry.attempt():
            entry.change(first, name="lost", note="lost")
            entry.change(first, name="lost again", area_mm2=None)
            entry.change(second, name="lost too")
            gone = entry.create(Property, id=None, name="lost with them")
            entry.change(gone, note="lost")
            entry.add(person)
            raise Refused

        assert (state(first, second), entry.mark()) == (before, mark)
        assert entry.find(Property, gone.id) is None

    assert set(Property.objects.values_list("name", flat=True)) == {"kept", "Other"}
    assert names(fen) == [(1, "Fen Edge"), (2, "kept")]
    assert not Person.objects.filter(email="new@tamarack.example").exists()


def test_an_id_is_free_again_after_its_creation_was_taken_back(coordinator, entry_of):
    id = new_id()
    with entry_of(coordinator) as entry:
        with pytest.raises(Refused), entry.attempt():
            entry.create(Property, id=id, name="first try")
            raise Refused
        entry.create(Property, id=id, name="second try")

    assert names(Property.objects.get(id=id)) == [(1, "second try")]


def test_an_attempt_that_holds_keeps_what_was_staged(coordinator, entry_of):
    with entry_of(coordinator) as entry, entry.attempt():
        made = entry.create(Property, id=None, name="Fen")

    assert Property.objects.get().id == made.id


def test_a_refusal_that_nobody_caught_leaves_nothing(coordinator, entry_of, fen):
    before = head(coordinator)
    with pytest.raises(Refused), entry_of(coordinator) as entry:
        entry.change(entry.get(Property, fen.id), name="lost")
        entry.create(Property, id=None, name="lost")
        entry.write()
        raise Refused

    assert head(coordinator) == before
    assert list(Property.objects.values_list("name", flat=True)) == ["Fen Edge"]


# -- writing ---------------------------------------------------------------------------------------


def test_the_book_is_the_last_lock_and_only_the_journal_is_written_after_it(coordinator, entry_of, fen):
    with entry_of(coordinator) as entry:
        entry.change(entry.get(Property, fen.id), name="Fen")
        entry.create(Unit, id=None, name="North", property_id=fen.id)
        with CaptureQueriesContext(connection) as seen:
            entry.write()

    tables = [re.search(r'"(\w+_\w+)"', q["sql"])[1] for q in seen if re.search(r'"(\w+_\w+)"', q["sql"])]
    first = tables.index("journal_book")
    assert {"places_property", "places_unit"} <= set(tables[:first])
    assert set(tables[first:]) <= {"journal_book", "journal_revision"}


def test_numbers_follow_the_steps_without_a_gap(coordinator, entry_of, fen):
    before = head(coordinator)
    with entry_of(coordinator) as entry:
        made = [entry.create(Property, id=None, name=str(i)) for i in range(3)]
        entry.change(made[0], name="changed")

    assert [entry.seq_of[record.id, 1] - before for record in made] == [1, 2, 3]
    assert entry.seq_of[made[0].id, 2] - before == 4
    assert head(coordinator) == before + 4


@pytest.mark.parametrize("count", [1, 30])
def test_each_table_is_written_by_one_statement_whatever_the_count(coordinator, entry_of, count):
    with entry_of(coordinator) as entry:
        for i in range(count):
            fen = entry.create(Property, id=None, name=str(i))
            entry.create(Unit, id=None, name=str(i), property_id=fen.id)
        with CaptureQueriesContext(connection) as seen:
            entry.write()

    assert len(seen) == 5
    assert Unit.objects.count() == count


def test_writing_twice_writes_once(coordinator, entry_of):
    with entry_of(coordinator) as entry:
        entry.create(Property, id=None, name="Fen")
        entry.write()
        entry.write()

    assert Property.objects.count() == 1


def test_a_row_that_is_no_record_is_written_with_the_entry_and_not_in_the_book(coordinator, entry_of):
    before = head(coordinator)
    with entry_of(coordinator) as entry:
        entry.add(person := Person(email="new@tamarack.example", password="!"))

    assert Person.objects.get(email="new@tamarack.example").id == person.id
    assert head(coordinator) == before


@pytest.mark.django_db(transaction=True)
def test_an_entry_does_not_open_inside_another_transaction(coordinator, entry_of):
    from django.db import transaction

    with pytest.raises(RuntimeError, match="durable"), transaction.atomic(), entry_of(coordinator):
        pass
