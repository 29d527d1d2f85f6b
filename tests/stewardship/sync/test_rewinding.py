"""A backup is put back: devices that saw more are told so, and every cursor ends once the new epoch begins."""

import json
import logging
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import connection

from stewardship.journal import chain
from stewardship.journal.guard import guard_lifted
from stewardship.journal.models import Book, Revision
from stewardship.sync.pull import CursorGone, pull
from stewardship.sync.rewinding import BookRewound, Head
from tests.api.asking import post
from tests.stewardship.journal.damage import Vandal, forgets_the_newest

pytestmark = pytest.mark.django_db
TIME = "2027-05-01T15:00:00.000000Z"


def pulled(someone, cursor=None, remembered=None):
    """Return the last line of a page."""
    page = pull(cursor, actor=someone.actor, server_time=TIME, remembered=remembered)
    return json.loads(page.splitlines()[-1])


@pytest.fixture
def fen(coordinator):
    return coordinator.does("property", "create", name="Fen Edge").record


def head_of(end):
    return Head(end["head"], end["head_hash"])


def test_a_head_that_a_page_told_is_known_ever_after(coordinator, fen):
    end = pulled(coordinator)
    for name in ("Fen", "Heron Bend"):
        coordinator.does("property", "amend", id=fen.id, name=name)

        assert pulled(coordinator, end["cursor"], head_of(end))["head"] > end["head"]


def test_every_number_of_the_book_and_its_beginning_are_known(coordinator, fen):
    for seq, sealed in Revision.objects.filter(group_id=coordinator.group_id).values_list("seq", "hash"):
        pulled(coordinator, remembered=Head(seq, sealed))

    assert pulled(coordinator, remembered=Head(0, chain.BEGINNING))["head"] == fen_number(coordinator)


def fen_number(coordinator):
    return Book.objects.get(group_id=coordinator.group_id).head


@pytest.mark.parametrize("beyond", [0, 1, 1000])
def test_a_head_that_the_book_does_not_have_is_a_rewound_book_and_is_told_loudly(coordinator, fen, caplog, beyond):
    end = pulled(coordinator)
    remembered = Head(end["head"] + beyond, "0" * 64 if beyond == 0 else end["head_hash"])

    with pytest.raises(BookRewound), caplog.at_level(logging.CRITICAL):
        pulled(coordinator, end["cursor"], remembered)

    (record,) = caplog.records
    assert str(coordinator.group_id) in record.getMessage()
    assert "begin_epoch" in record.getMessage()


def test_a_device_that_saw_what_the_backup_lacks_is_told_even_after_others_wrote_on(coordinator, fen, tampering):
    """The numbers that the backup forgot are given again to other entries: the number alone would not show it."""
    end = pulled(coordinator)
    with guard_lifted(connection):
        assert forgets_the_newest(Vandal(coordinator.group_id, 1))
    coordinator.does("property", "create", name="Another")
    assert Book.objects.get(group_id=coordinator.group_id).head == end["head"]

    with pytest.raises(BookRewound):
        pulled(coordinator, end["cursor"], head_of(end))


def test_a_cursor_beyond_the_end_is_a_rewound_book_even_where_no_head_is_told(coordinator, fen, tampering):
    """Else the device would hear nothing, and show what is not there, until the numbers come to where it was."""
    end = pulled(coordinator)
    with guard_lifted(connection):
        assert forgets_the_newest(Vandal(coordinator.group_id, 1))

    with pytest.raises(BookRewound):
        pulled(coordinator, end["cursor"])


def test_a_new_epoch_ends_every_cursor_and_changes_nothing_else(cast, fen):
    ends = [(who, pulled(who)) for who in (cast.coordinator, cast.stranger)]
    told = StringIO()

    call_command("begin_epoch", stdout=told)

    for who, end in ends:
        assert f"{who.group_id}: a new epoch; the book ends at number {end['head']}." in told.getvalue()
        with pytest.raises(CursorGone):
            pulled(who, end["cursor"])
        again = pulled(who, remembered=head_of(end))
        assert (again["head"], again["head_hash"]) == (end["head"], end["head_hash"])


def test_the_door_answers_410_and_says_what_to_keep(coordinator, fen):
    answer = post(coordinator, "sync/pull", {"head": 1000, "head_hash": "0" * 64})

    assert (answer.status_code, answer.json()["code"]) == (410, "book_rewound")
    assert "keep what is not sent yet" in answer.json()["detail"]


@pytest.mark.parametrize("half", [{"head": 1}, {"head_hash": "0" * 64}])
def test_half_a_head_is_refused(coordinator, half):
    answer = post(coordinator, "sync/pull", half)

    assert answer.status_code == 400
    assert "head and head_hash together" in answer.json()["detail"]


@pytest.mark.parametrize("head", [{"head": -1}, {"head_hash": "xyz"}, {"head_hash": "A" * 64}])
def test_what_is_no_head_is_refused(coordinator, head):
    told = {"head": 1, "head_hash": "0" * 64} | head

    assert post(coordinator, "sync/pull", told).status_code == 400
