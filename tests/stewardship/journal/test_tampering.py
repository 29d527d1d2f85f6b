"""Invariant I10: the book proves that nobody changed it. Random damage by raw SQL is found, all of it."""

from collections.abc import Iterator
from itertools import chain, count
from random import Random

import pytest
from django.db import DatabaseError, transaction

from stewardship.journal.models import Book, Revision
from stewardship.journal.verifying import Verification
from stewardship.sync.held import uncounted
from tests.api.samples import FIELDS
from tests.api.scene import Scene
from tests.audit import record_types
from tests.cast import sent
from tests.ground import lay_out
from tests.stewardship.journal.damage import (
    COLUMNS,
    Vandal,
    changes_a_column,
    changes_a_line,
    columns_that_say_something,
    forgets_the_newest,
    rewrites,
    undone,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("tampering")]
EACH, OF_THEM_WHOLE = 50, 5
"""How many damages one test does to one book, and how many of them are a rewrite of all that follows."""

SEEDS = [0, *(pytest.param(seed, marks=pytest.mark.heavy) for seed in range(1, 200))]
"""50 damages in the normal suite, 10,000 with the heavy ones."""


@pytest.fixture
def story(cast):
    """Give a book with records of every type, corrections, voided records, personal ones, held ones, erased ones."""
    scene = Scene(cast.coordinator)
    for kind in [kind for kind, op in FIELDS if op == "create"] + ["to_settle"]:
        scene.id(kind)
    scene.compiled()
    _worked(cast)
    cast.coordinator.does("member", "erase", id=cast.former.member.id, reason="asked for")
    cast.coordinator.does("property", "create", name="Entered last")
    return cast.coordinator.group_id


def _worked(cast) -> None:
    """Enter a day's work: lines that are corrected and voided, details of a person, an entry that is held."""
    ground, does = lay_out(cast.coordinator), cast.coordinator.does
    batch, session = ground.batch(), ground.session()
    line = ground.line(session, batch, "5").id
    does("application", "amend", id=line, note="north of the ditch", reason="left out")
    does("application", "void", id=ground.line(session, batch, "3").id, reason="entered twice")
    does("property", "amend", id=ground.property, note="wet in spring")
    cast.volunteer.does("personal_details", "create", phone="555 0100")
    cast.volunteer.does("emergency_contact", "create", name="Odile Fenn", phone="555 0102")
    cast.volunteer.pushes(sent("property", "create", {"name": "Not hers to enter"}))


def found(group_id, heads=None):
    """Return everything that verifying finds."""
    return [*Verification(group_id, heads).findings(), *uncounted(group_id)]


def is_found(group_id):
    """Tell whether verifying finds anything; it reads no further than that."""
    return next(chain(Verification(group_id).findings(), uncounted(group_id)), None) is not None


def remembered(group_id):
    """Return the head of the book, as somebody notes it down."""
    return dict([Book.objects.values_list("head", "head_hash").get(group_id=group_id)])


@pytest.mark.parametrize("seed", SEEDS)
def test_random_damage_by_raw_sql_is_found_and_nothing_else_is(story, seed):
    assert found(story, remembered(story)) == []
    missed = [*_damaged(story, seed), *_rewritten(story, seed)]

    assert missed == []
    assert found(story, remembered(story)) == []


def _damaged(story, seed) -> Iterator[str]:
    """Do one damage after another; give those that are not found by the book alone."""
    for number in range(EACH - OF_THEM_WHOLE):
        vandal = Vandal(story, seed * EACH + number)
        with undone():
            told = vandal.damages()
            if not is_found(story):
                yield f"seed {vandal.seed}: {told}"


def _rewritten(story, seed) -> Iterator[str]:
    """Rewrite the book from somewhere on; give what a remembered head does not find, or what is found without one."""
    heads, done, numbers = remembered(story), 0, count()
    while done < OF_THEM_WHOLE:
        vandal = Vandal(story, seed * 1000 + next(numbers))
        with undone():
            told = Random(vandal.seed).choice([rewrites, rewrites, forgets_the_newest])(vandal)
            if told is None:
                continue
            done += 1
            told_by = {each.code for each in found(story, heads)}
            if found(story) or not told_by or not told_by <= {"head_differs", "head_beyond"}:
                yield f"whole, seed {vandal.seed}: {told}: {told_by}"


def test_every_type_of_record_is_damaged(story):
    assert {table.kind for table in Vandal(story, 0).tables} == {table.kind for table in record_types()}


@pytest.mark.heavy
def test_a_change_of_any_column_of_any_record_is_found(story):
    """One column of one record of each type at a time, until each column had its turn; each finding names its record.

    A change that a constraint of the database refuses whatever the value is none.
    """
    vandal, missed, refused = Vandal(story, 1), [], []
    for place in range(max(len(columns_that_say_something(table)) for table in vandal.tables)):
        with undone():
            changed = [_changed(vandal, table, place) for table in vandal.tables]
            told = " ".join(each.detail for each in found(story))
        refused += [named for named, id in filter(None, changed) if not id]
        missed += [named for named, id in filter(None, changed) if id not in told]

    assert missed == []
    assert len(refused) < 60, refused


def _changed(vandal, table, place) -> tuple[str, str] | None:
    """Change the column at this place of a record, if it has one; return its name, and the id if it could be done."""
    columns = columns_that_say_something(table)
    if place >= len(columns):
        return None
    record = table._default_manager.filter(group_id=vandal.group_id).order_by("id").last()
    done = _tried(lambda: changes_a_column(vandal, record, columns[place]))
    return f"{table.kind}.{columns[place].column}", str(record.id) if done else ""


def _tried(act) -> bool:
    """Do a random thing, and try another where the database refuses it; tell whether one was done."""
    for _ in range(20):
        try:
            with transaction.atomic():
                if act():
                    return True
        except DatabaseError:
            continue
    return False


def test_a_change_of_any_column_of_a_revision_is_found(story):
    vandal = Vandal(story, 2)
    number = vandal.seqs()[-4]
    for column in COLUMNS:
        with undone():
            assert _tried(lambda column=column: changes_a_line(vandal, number, column))
            assert is_found(story), column.name


def test_a_head_in_the_middle_proves_what_lies_before_it(story):
    hashes = dict(Revision.objects.filter(group_id=story).values_list("seq", "hash"))

    assert found(story, hashes) == []
    with undone():
        told = next(filter(None, (rewrites(Vandal(story, seed)) for seed in range(100))))
        changed = int(told.removeprefix("number ").split(":")[0])
        differing = {int(each.detail.split()[1]) for each in found(story, hashes) if each.code == "head_differs"}

    assert differing == {seq for seq in hashes if seq >= changed}
