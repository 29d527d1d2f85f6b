"""The standing cast can do what it is for."""

import pytest
from django.db import transaction

from stewardship.accounts.models import Group, Member
from stewardship.journal.models import Book
from stewardship.places.models import Property
from tests.cast import assemble, come_together, sent
from tests.database import everything

pytestmark = pytest.mark.django_db


def test_five_people_share_a_group_and_one_is_a_stranger(cast):
    own = {someone.group_id for someone in cast.everybody() if someone is not cast.stranger}

    assert own == {cast.group.id}
    assert Group.objects.count() == Book.objects.count() == 2
    assert Member.objects.filter(group_id=cast.group.id).count() == 5
    assert cast.stranger.group_id != cast.group.id


def test_each_has_the_role_and_the_device_that_their_name_says(cast):
    roles = [someone.actor.role for someone in cast.everybody()]

    assert roles == ["coordinator", "volunteer", "volunteer", "reviewer", "volunteer", "coordinator"]
    assert [someone.actor.is_former for someone in cast.everybody()] == [False] * 4 + [True, False]
    assert all(someone.device.person_id == someone.person.id for someone in cast.everybody())


def test_what_a_later_test_begins_with_is_what_comes_of_the_doors():
    by_doors, first, later = (_counted_after(begin) for begin in (come_together, assemble, assemble))

    assert by_doors == first == later


def _counted_after(begin) -> dict[str, int]:
    mark = transaction.savepoint()
    begin()
    counted = {table: len(rows) for table, rows in everything().items()}
    transaction.savepoint_rollback(mark)
    return counted


def test_a_person_does_and_pushes(coordinator):
    done = coordinator.does("property", "create", name="Sedge Bottom")
    taken = coordinator.pushes(
        sent("property", "create", {"name": "Fen Edge"}),
        sent("property", "amend", {"name": "Sedge Bottom East"}, id=done.record.id, base_rev=1),
    )

    assert [result["outcome"] for result in taken.results] == ["applied", "applied"]
    assert set(Property.objects.values_list("name", flat=True)) == {"Sedge Bottom East", "Fen Edge"}
    assert taken.last_n == 2
