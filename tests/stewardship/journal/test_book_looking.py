"""What an entry looks at: loaded once, locked in one order, listed with what was staged; what is found once."""

import re
from itertools import count

import pytest
from django.apps import apps
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.accounts.models import Group, Member
from stewardship.errors import Unavailable
from stewardship.journal.ids import new_id
from stewardship.journal.models import Record
from stewardship.journal.ordering import insert_order, write_order
from stewardship.places.models import Property, Unit
from stewardship.treatments.models import Application
from tests.stewardship.journal.test_book import Refused, names

# ruff: noqa: PT012
pytestmark = pytest.mark.django_db


# -- looking ---------------------------------------------------------------------------------------


def test_a_record_is_read_once_and_is_the_same_object(coordinator, entry_of, fen, django_assert_num_queries):
    with entry_of(coordinator) as entry:
        with django_assert_num_queries(1):
            entry.load(Property, [fen.id, new_id()])
        with django_assert_num_queries(0):
            assert entry.get(Property, fen.id) is entry.find(Property, fen.id)


def test_ids_are_locked_in_their_order_by_one_statement(coordinator, entry_of, fen):
    ids = [new_id() for _ in range(5)] + [fen.id]
    with entry_of(coordinator) as entry, CaptureQueriesContext(connection) as seen:
        entry.load(Property, reversed(ids))

    (query,) = [q["sql"] for q in seen if "places_property" in q["sql"]]
    assert re.search(r'ORDER BY \+?"places_property"\."id"', query)
    assert ("FOR NO KEY UPDATE" in query) is (connection.vendor == "postgresql")


def test_what_is_only_read_is_not_locked(coordinator, entry_of, fen):
    with entry_of(coordinator) as entry, CaptureQueriesContext(connection) as seen:
        entry.load(Property, [fen.id], lock=False)
        entry.load_lists(Unit, "property_id", [fen.id])

    assert not any("FOR NO KEY UPDATE" in q["sql"] for q in seen)


def test_a_change_of_what_is_not_locked_is_a_fault_of_the_program(coordinator, entry_of, fen):
    with pytest.raises(RuntimeError, match="changed without its lock"), entry_of(coordinator) as entry:
        entry.load(Property, [fen.id], lock=False)
        entry.change(entry.get(Property, fen.id), name="Fen")


def test_what_was_read_and_is_then_locked_says_what_stands_under_the_lock(coordinator, entry_of, fen):
    north = coordinator.does("unit", "create", name="North", property=fen.id).record
    with entry_of(coordinator) as entry:
        entry.load(Property, [fen.id], lock=False)
        record, (unit,) = entry.get(Property, fen.id), entry.list_of(Unit, "property_id", fen.id)
        record.name, unit.name = "read before somebody changed it", "read before somebody changed it"
        entry.load(Property, [fen.id])
        entry.load(Unit, [unit.id])

        assert entry.get(Property, fen.id) is record
        assert entry.get(Unit, north.id) is unit
        assert (record.name, unit.name) == ("Fen Edge", "North")
        entry.change(record, name="Fen")
        entry.change(unit, name="South")

    assert names(fen) == [(1, "Fen Edge"), (2, "Fen")]


def test_every_record_of_a_small_type_is_read_once_with_what_was_staged(
    coordinator, entry_of, fen, django_assert_num_queries
):
    with entry_of(coordinator) as entry:
        entry.load_all(Property)
        with django_assert_num_queries(0):
            assert [place.id for place in entry.all_of(Property)] == [fen.id]
        made = entry.create(Property, id=None, name="Levee Woods")
        assert entry.all_of(Property) == [entry.get(Property, fen.id), made]


def test_a_list_that_is_read_later_does_not_undo_what_was_staged(coordinator, entry_of, fen):
    north = coordinator.does("unit", "create", name="North", property=fen.id).record
    with entry_of(coordinator) as entry:
        unit = entry.change(entry.get(Unit, north.id), name="South")

        assert entry.list_of(Unit, "property_id", fen.id) == [unit]
        assert unit.name == "South"


def test_a_list_read_with_its_lock_may_be_changed(coordinator, entry_of, fen):
    coordinator.does("unit", "create", name="North", property=fen.id)
    with entry_of(coordinator) as entry:
        entry.load_lists(Unit, "property_id", [fen.id], lock=True)
        (unit,) = entry.list_of(Unit, "property_id", fen.id)
        entry.change(unit, name="South")

    assert names(unit) == [(1, "North"), (2, "South")]


def test_types_are_locked_and_written_layer_by_layer_then_by_name():
    assert sorted([Unit, Property, Member, Group], key=write_order) == [Group, Member, Property, Unit]


def test_new_rows_are_written_after_all_that_they_point_to():
    """Else SQLite looks through whole tables for the children of each new row, and a push takes longer every year."""
    types = [model for model in apps.get_models() if issubclass(model, Record)]
    order = {model: place for place, model in enumerate(sorted(types, key=insert_order))}
    pointing = {(model, field.related_model) for model in types for field in model._meta.concrete_fields}
    ours = [(one, other) for one, other in pointing if other in order and other not in (one, Group)]  # it is there
    wrong = [(one, other) for one, other in ours if order[other] > order[one] and (other, one) not in pointing]

    assert wrong == []


def test_sqlite_finds_a_list_by_its_column_and_not_by_reading_all_of_a_group_in_the_order_of_ids(coordinator, entry_of):
    if connection.vendor != "sqlite":
        return
    with entry_of(coordinator) as entry, CaptureQueriesContext(connection) as seen:
        entry.load_lists(Application, "batch_id", [new_id(), new_id()])
    (query,) = [each["sql"] for each in seen if "treatments_application" in each["sql"]]

    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN QUERY PLAN {query}")
        plan = " ".join(str(row[-1]) for row in cursor.fetchall())

    assert "USING INDEX applications_of_a_batch (group_id=? AND batch_id=?)" in plan


def test_another_groups_record_is_as_unavailable_as_an_unknown_one(stranger, entry_of, fen):
    with entry_of(stranger) as entry:
        told = []
        for id in (fen.id, new_id()):
            with pytest.raises(Unavailable) as refusal:
                entry.get(Property, id)
            told.append((refusal.value.code, str(refusal.value)))

    assert told[0] == told[1]


def test_a_list_has_what_is_stored_and_what_the_entry_made_itself(coordinator, entry_of, fen):
    north = coordinator.does("unit", "create", name="North", property=fen.id).record
    with entry_of(coordinator) as entry:
        before = entry.list_of(Unit, "property_id", fen.id)
        south = entry.create(Unit, id=None, name="South", property_id=fen.id)
        elsewhere = entry.create(Property, id=None, name="Elsewhere")
        entry.create(Unit, id=None, name="Other", property_id=elsewhere.id)
        after = entry.list_of(Unit, "property_id", fen.id)

    assert [unit.id for unit in before] == [north.id]
    assert [unit.id for unit in after] == [north.id, south.id]


def test_a_list_follows_a_record_that_is_moved(coordinator, entry_of, fen):
    with entry_of(coordinator) as entry:
        other = entry.create(Property, id=None, name="Other")
        unit = entry.create(Unit, id=None, name="North", property_id=fen.id)
        entry.change(unit, property_id=other.id)

        assert entry.list_of(Unit, "property_id", fen.id) == []
        assert entry.list_of(Unit, "property_id", other.id) == [unit]


# -- what is found once ----------------------------------------------------------------------------


@pytest.fixture
def found(coordinator, entry_of, fen):
    """Count in an entry how often something is found; each call returns how often it was so far."""
    times = count(1)
    with entry_of(coordinator) as entry:
        yield entry, lambda: entry.once("asked", lambda: next(times))


def test_what_is_found_is_found_once_for_each_question(found):
    entry, ask = found

    assert [ask(), ask(), entry.once("another", lambda: 9)] == [1, 1, 9]


def test_what_was_found_is_forgotten_when_a_record_changes_or_comes_that_others_are_judged_by(found, fen):
    entry, ask = found

    ask()
    entry.load(Property, [fen.id])
    entry.change(entry.get(Property, fen.id), name="Fen End")
    assert ask() == 2
    entry.create(Property, id=None, name="Fen")
    assert ask() == 3


def test_what_was_found_stays_when_a_new_record_stands_alone_and_not_when_it_changes(found, monkeypatch):
    entry, ask = found
    monkeypatch.setattr(Property, "stands_alone", True)

    ask()
    fen = entry.create(Property, id=None, name="Fen")
    assert ask() == 1
    entry.change(fen, name="Fen End")
    assert ask() == 2


def test_what_was_found_inside_an_attempt_that_fails_is_forgotten(found):
    entry, ask = found

    with pytest.raises(Refused), entry.attempt():
        entry.create(Property, id=None, name="Fen")
        ask()
        raise Refused

    assert ask() == 2
