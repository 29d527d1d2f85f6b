"""The long book of the measurement is a book like any other: whoever proves it finds nothing."""

import pytest

from stewardship.journal.models import Book, Revision
from stewardship.journal.verifying import Verification
from stewardship.sync.pull import pull
from workers.bench import history

pytestmark = pytest.mark.django_db


def test_a_book_that_was_let_grow_is_proved_and_pulled_to_its_end(coordinator):
    told = history.grow(str(coordinator.group_id), "50")

    head = Book.objects.get(group_id=coordinator.group_id).head
    assert told["head"] == head == Revision.objects.filter(group_id=coordinator.group_id).count()
    assert 50 <= head < 50 + history.REVS
    assert list(Verification(coordinator.group_id).findings()) == []
    assert pull(told["cursor"], actor=coordinator.actor, server_time="now").count(b"\n") == 2


def test_a_book_that_is_long_enough_is_left_alone(coordinator):
    before = Book.objects.get(group_id=coordinator.group_id).head

    assert history.grow(str(coordinator.group_id), "1")["head"] == before
