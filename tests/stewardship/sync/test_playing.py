"""Mutations from files go the way of every device."""

import pytest

from stewardship.accounts.models import Device
from stewardship.catalog.models import Species
from stewardship.journal.ids import new_id
from stewardship.sync.models import Mutation, Outbox
from stewardship.sync.playing import DEVICE_NAME, play
from tests.cast import AT, sent

pytestmark = pytest.mark.django_db


def species(count: int) -> list:
    return [sent("species", "create", {"scientific_name": f"Planta numero-{n}"}) for n in range(count)]


def test_lines_are_played_in_chunks_and_numbered_one_after_another(coordinator):
    results = play(species(7), actor=coordinator.actor, at=AT, chunk=3)

    assert [result["outcome"] for result in results] == ["applied"] * 7
    assert Species.objects.count() == 7
    device = Device.objects.get(name=DEVICE_NAME)
    assert Outbox.objects.get(device=device).last_n == 7
    assert sorted(Mutation.objects.filter(device_id=device.id).values_list("n", flat=True)) == [1, 2, 3, 4, 5, 6, 7]


def test_played_again_nothing_changes(coordinator):
    lines = species(3)
    first = play(lines, actor=coordinator.actor, at=AT)

    again = play(lines, actor=coordinator.actor, at=AT)

    assert Species.objects.count() == 3
    assert again == [result | {"replayed": True} for result in first]


def test_one_device_is_kept_for_a_person(coordinator):
    play(species(1), actor=coordinator.actor, at=AT)
    play(species(1), actor=coordinator.actor, at=AT)

    assert Device.objects.filter(person=coordinator.person, name=DEVICE_NAME).count() == 1


def test_a_device_that_is_named_is_used(coordinator):
    play(species(1), actor=coordinator.actor, at=AT, device_id=coordinator.device.id)

    assert Mutation.objects.get(type="species").device_id == coordinator.device.id


def test_what_breaks_a_rule_is_held_and_told(volunteer):
    [result] = play(species(1), actor=volunteer.actor, at=AT)

    assert (result["outcome"], result["code"]) == ("held", "not_permitted")


def test_nothing_to_play_is_nothing_done(coordinator):
    assert play([], actor=coordinator.actor, at=AT) == []


def test_a_mutation_keeps_its_own_id(coordinator):
    mid = new_id()

    [result] = play(
        [sent("species", "create", {"scientific_name": "Planta sola"}, mid=mid)], actor=coordinator.actor, at=AT
    )

    assert result["mid"] == str(mid)
