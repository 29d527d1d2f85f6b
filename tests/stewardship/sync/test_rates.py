"""How much a device and a group may hand in: bounded by mutations and by bytes, and told when there is room again."""

from datetime import timedelta

import pytest

from stewardship.sync.arriving import Arrival, Most
from stewardship.sync.perform import push
from stewardship.sync.rates import TooManyHeld, TooMuch, ordinary
from stewardship.sync.taking import DeviceRevoked
from tests.cast import AT, sent, with_device
from tests.database import everything

HOUR = timedelta(hours=1)
MOST = Most(mutations=10, bytes=1000, within=HOUR, devices=2)
SECOND = timedelta(seconds=1)


def hands_in(someone, count, at=AT, size_bytes=0, **more):
    mutations = [someone._numbered(sent("property", "create", {"name": "Fen"})) for _ in range(count)]
    arrival = Arrival(sent_at=at, size_bytes=size_bytes, most=MOST, **more)
    return push(mutations, actor=someone.actor, device_id=someone.device.id, at=at, arrival=arrival)


def test_what_an_hour_admits_is_taken_at_once_and_one_push_more(coordinator):
    hands_in(coordinator, 10)

    assert len(hands_in(coordinator, 5).results) == 5
    with pytest.raises(TooMuch) as refused:
        hands_in(coordinator, 1)

    assert (refused.value.code, refused.value.wait_s) == ("too_much_at_once", 1800)


def test_what_is_refused_leaves_everything_as_it_was(coordinator):
    hands_in(coordinator, 11)
    before = everything()

    with pytest.raises(TooMuch):
        hands_in(coordinator, 1)

    assert everything() == before


def test_who_waits_as_long_as_told_is_taken_and_not_before(coordinator):
    hands_in(coordinator, 15)

    with pytest.raises(TooMuch) as refused:
        hands_in(coordinator, 1, AT + 1799 * SECOND)
    assert refused.value.wait_s == 1
    coordinator.numbers = iter(range(16, 100))
    assert hands_in(coordinator, 1, AT + 1800 * SECOND).last_n == 16


def test_at_the_rate_that_is_allowed_one_may_go_on_for_ever(coordinator):
    for i in range(50):
        hands_in(coordinator, 1, AT + i * HOUR / 10)


def test_bytes_are_bounded_for_themselves(coordinator):
    hands_in(coordinator, 1, size_bytes=1500)

    with pytest.raises(TooMuch) as refused:
        hands_in(coordinator, 0)

    assert refused.value.wait_s == 1800


def test_a_group_is_bounded_whatever_the_number_of_its_devices(coordinator, volunteer, stranger):
    for someone in (coordinator, volunteer, with_device(volunteer.member, "tablet")):
        hands_in(someone, 8)

    with pytest.raises(TooMuch):
        hands_in(with_device(coordinator.member, "tablet"), 1)
    assert hands_in(stranger, 1).last_n == 1


def test_a_clock_of_ours_that_is_set_back_locks_nobody_out_for_longer_than_that(coordinator):
    hands_in(coordinator, 15, AT)

    with pytest.raises(TooMuch) as refused:
        hands_in(coordinator, 1, AT - 2 * HOUR)

    assert refused.value.wait_s == 1800 + 7200


def test_what_nobody_may_perform_is_bounded_a_day(coordinator):
    late = {"held_for": DeviceRevoked(), "held_a_day": 3}
    hands_in(coordinator, 3, **late)
    before = everything()

    with pytest.raises(TooManyHeld) as refused:
        hands_in(coordinator, 1, AT + 23 * HOUR, **late)

    assert (refused.value.code, everything() == before) == ("too_many_held", True)
    coordinator.numbers = iter(range(4, 100))
    assert hands_in(coordinator, 1, AT + 25 * HOUR, **late).last_n == 4


def test_what_was_kept_already_is_answered_again_though_the_day_is_full(coordinator):
    late = Arrival(held_for=DeviceRevoked(), held_a_day=1)
    mutation = coordinator._numbered(sent("property", "create", {"name": "Fen"}))
    told = {"actor": coordinator.actor, "device_id": coordinator.device.id, "at": AT, "arrival": late}
    first = push([mutation], **told)

    assert push([mutation], **told).results == [first.results[0] | {"replayed": True}]


def test_the_measure_is_set_by_whoever_runs_the_service(settings):
    settings.SYNC_MUTATIONS_AN_HOUR, settings.SYNC_BYTES_AN_HOUR = 7, 70

    assert (ordinary().mutations, ordinary().bytes, ordinary().within) == (7, 70, HOUR)
