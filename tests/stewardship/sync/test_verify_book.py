"""``manage.py verify_book``: what it looks at, what it says, how it ends."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from stewardship.journal.ids import new_id
from stewardship.journal.models import Book
from stewardship.places.models import Property
from tests.cast import sent

pytestmark = pytest.mark.django_db


@pytest.fixture
def fen(coordinator):
    """Give a property of the group."""
    return coordinator.does("property", "create", name="Fen Edge").record


def verify(*args):
    """Run the command; return what it says and, if it ends with 1, why."""
    told = StringIO()
    try:
        call_command("verify_book", *args, stdout=told)
    except CommandError as error:
        return told.getvalue(), str(error)
    return told.getvalue(), None


def test_every_group_is_verified_and_told_with_its_head(cast, fen):
    told, error = verify()

    assert error is None
    for book in Book.objects.all():
        assert f"{book.group_id}: {book.head} revisions of " in told
        assert f"the book ends at {book.head}:{book.head_hash}; 0 findings." in told


def test_a_fault_is_told_and_the_command_ends_with_1(cast, fen, tampering):
    Property.objects.filter(id=fen.id).update(name="Elsewhere")

    told, error = verify()

    assert f"{fen.group_id}: property {fen.id} says something else than its newest revision: name." in told
    assert error == "1 thing does not hold."


def test_one_group_alone_is_verified(cast, fen, tampering):
    Property.objects.filter(id=fen.id).update(name="Elsewhere")

    assert verify("--group", str(cast.stranger.group_id))[1] is None
    assert verify("--group", str(fen.group_id))[1] == "1 thing does not hold."


def test_a_remembered_head_is_given_with_its_group(cast, fen):
    book = Book.objects.get(group_id=fen.group_id)
    group = ("--group", str(fen.group_id))

    assert verify(*group, "--head", f"{book.head}:{book.head_hash}")[1] is None
    assert verify(*group, "--head", f"{book.head}:{'0' * 64}")[1] == "1 thing does not hold."
    assert verify(*group, "--head", f"{book.head + 1}:{book.head_hash}")[1] == "1 thing does not hold."


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["--head", f"1:{'0' * 64}"], "name that group with --group"),
        (["--group", "{group}", "--head", f"1:{'0' * 64}", "--head", f"1:{'1' * 64}"], "no book can have both"),
        (["--group", "nonsense"], "no id of a group"),
        (["--group", "{group}", "--head", "1:abc"], "its number, a colon and its hash"),
    ],
)
def test_what_cannot_be_meant_is_refused(cast, args, said):
    told, error = verify(*(each.format(group=cast.group.id) for each in args))

    assert told == ""
    assert said in error


def test_a_group_that_is_not_there_is_no_sound_one(cast):
    assert verify("--group", str(new_id()))[1] == "1 thing does not hold."


def test_programs_are_told_one_object_a_line(cast, fen, tampering):
    Property.objects.filter(id=fen.id).update(name="Elsewhere")

    told, _ = verify("--group", str(fen.group_id), "--json")

    finding, summary = map(json.loads, told.splitlines())
    assert (finding["group"], finding["code"]) == (str(fen.group_id), "record_differs")
    book = Book.objects.get(group_id=fen.group_id)
    assert (summary["head"], summary["head_hash"], summary["findings"]) == (book.head, book.head_hash, 1)
    assert summary["revisions"] == book.head


def test_entries_that_wait_are_counted_by_their_records(cast, fen, tampering):
    cast.volunteer.pushes(sent("property", "create", {"name": "Not hers to enter"}))
    assert verify()[1] is None

    Book.objects.filter(group_id=fen.group_id).update(held=0)

    assert "The book says that 0 entries wait to be settled; 1 do." in verify()[0]


def held_of(someone):
    return someone.pushes(sent("property", "create", {"name": "Fen"})).results[0]["to_settle"]


def test_what_was_released_in_its_authors_name_is_no_fault(cast):
    cast.coordinator.does("to_settle", "release", id=held_of(cast.volunteer), reason="he telephoned")

    assert Property.objects.get().entered_by_id == cast.volunteer.person.id
    assert verify()[1] is None


def test_what_was_released_in_another_name_is_a_fault(cast, tampering):
    held_of(cast.other_volunteer)
    cast.coordinator.does("to_settle", "release", id=held_of(cast.volunteer), reason="he telephoned")
    Property.objects.update(entered_by_id=cast.other_volunteer.person.id)

    told, error = verify()

    assert "was entered by somebody else, or at another time, than its first revision says" in told
    assert error == "1 thing does not hold."
