"""The audit after each test (invariants I2, I10 and I12) finds what it is for: each kind of damage behind our back."""

from datetime import timedelta

import pytest
from django.db import connection

from stewardship.accounts.models import Member
from stewardship.journal.guard import guard_lifted
from stewardship.journal.ids import new_id
from stewardship.journal.models import Book, Revision
from stewardship.places.models import Property
from stewardship.sync.verbs import VERBS
from stewardship.treatments.models import Voidable
from tests.audit import RECOMPUTED, findings, record_types
from tests.cast import AT

pytestmark = pytest.mark.django_db


@pytest.fixture
def meadow(coordinator, tampering):
    """Give a property with two revisions."""
    made = coordinator.does("property", "create", name="Fen Edge").record
    return coordinator.does("property", "amend", id=made.id, note="wet in spring").record


def damage(**values):
    """Change the newest revision with the guard away."""
    newest = Revision.objects.order_by("-seq").first()
    with guard_lifted(connection):
        Revision.objects.filter(group_id=newest.group_id, seq=newest.seq).update(**values)


def test_a_sound_book_has_no_findings(meadow):
    assert findings() == []


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("kind", "unit"),
        ("record_id", new_id()),
        ("rev", 9),
        ("op", "void"),
        ("mid", new_id()),
        ("device_id", new_id()),
        ("at", AT + timedelta(microseconds=1)),
        ("reason", "because"),
        ("audience", "coordinators"),
        ("content", '{"name":"Elsewhere"}'),
        ("salt", "0" * 32),
        ("content_hash", "0" * 64),
        ("hash", "0" * 64),
        ("seq", 99),
    ],
)
def test_a_changed_column_of_a_revision_is_found(meadow, column, value):
    damage(**{column: value})

    assert findings()


def test_another_author_of_a_revision_is_found(meadow, volunteer):
    damage(by_id=volunteer.person.id)

    assert any("chain" in line for line in findings())


def test_a_removed_revision_is_found(meadow):
    with guard_lifted(connection):
        Revision.objects.filter(record_id=meadow.id, rev=1).delete()

    assert any("numbers" in line for line in findings())


def test_a_record_changed_past_the_book_is_found(meadow):
    Property.objects.filter(id=meadow.id).update(note="dry")

    assert findings() == [f"property {meadow.id}: it says something else than its newest revision"]


@pytest.mark.parametrize("values", [{"rev": 3}, {"entered_at": AT + timedelta(hours=1)}])
def test_a_record_at_odds_with_its_revisions_is_found(meadow, values):
    Property.objects.filter(id=meadow.id).update(**values)

    assert len(findings()) == 1


def test_a_record_written_past_the_book_is_found(meadow, coordinator):
    made = Property.objects.create(
        id=new_id(), group_id=meadow.group_id, name="Ghost", entered_by_id=coordinator.person.id, entered_at=AT
    )

    assert findings() == [f"property {made.id} is not in the book"]


def test_a_removed_record_is_found(meadow):
    Property.objects.filter(id=meadow.id).delete()

    assert findings() == [f"property {meadow.id} has revisions, but there is no such record"]


def test_a_head_that_ran_ahead_is_found(meadow):
    Book.objects.filter(group_id=meadow.group_id).update(head=99)

    assert any("numbers" in line for line in findings())


def test_a_wrong_derived_column_is_found(meadow, monkeypatch):
    monkeypatch.setattr(Property, "derived", frozenset({"area_mm2"}))
    monkeypatch.setitem(RECOMPUTED, Property, lambda group_id: {meadow.id: {"area_mm2": 7}})

    assert findings() == [f"property {meadow.id}: {{'area_mm2': None}} does not come out when computed again"]


def test_every_derived_column_can_be_computed_again():
    missing = [model.__name__ for model in record_types() if model.derived and model not in RECOMPUTED]

    assert missing == [], "add a function to tests.audit.RECOMPUTED that gives what these columns must be"


def test_whoever_voids_a_record_or_corrects_one_that_can_be_voided_says_why():
    """Invariant I10: so that each such state of a legal record has its reason in the book."""
    legal = {model.kind for model in record_types() if issubclass(model, Voidable)}
    silent = [
        key
        for key, verb in VERBS.items()
        if not verb.reason and (key[1] == "void" or (key[0] in legal and key[1] in ("amend", "reinstate")))
    ]

    assert len(legal) > 5
    assert silent == []


def test_members_are_records_too(cast):
    assert Member in record_types()
