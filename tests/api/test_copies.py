"""A device that was cloned or set back counts under an id of its own, with the same token."""

from uuid import UUID

import pytest

from stewardship.accounts import devices
from stewardship.accounts.models import Device
from stewardship.journal.ids import new_id
from stewardship.places.models import Property
from tests.api.asking import get
from tests.api.test_sync import mutation, push


def listed(someone):
    return someone.signed_in().get("/api/v1/devices").json()["results"]


def test_a_copy_counts_for_itself_and_repeats_what_its_original_sent(coordinator):
    first, second, copy = mutation(1), mutation(2), new_id()
    push(coordinator, first, second)

    answer = push(coordinator, first, mutation(2), device=copy).json()

    assert [result.get("replayed", False) for result in answer["results"]] == [True, False]
    assert (answer["last_n"], Property.objects.count()) == (2, 3)
    assert push(coordinator, mutation(3)).json()["last_n"] == 3
    assert push(coordinator, mutation(3), device=copy).json()["last_n"] == 3


def test_a_copy_is_shown_with_its_device_and_in_the_history_by_its_name(coordinator):
    copies = [new_id(), new_id()]
    for copy in copies:
        id = push(coordinator, mutation(1), device=copy).json()["results"][0]["id"]
        push(coordinator, mutation(2), device=copy)

    (only,) = listed(coordinator)

    assert (only["id"], only["copies"]) == (str(coordinator.device.id), 2)
    (change,) = get(coordinator, f"properties/{id}/history").json()["results"]
    assert change["device"] == {"id": str(copies[1]), "name": "phone"}
    page = coordinator.signed_in().get("/my/sessions/").content.decode()
    assert "2 times set back to a backup, or copied. If that was not you, revoke it." in page


def test_a_copy_ends_with_its_device_and_what_it_still_sends_is_held(coordinator):
    known, late = new_id(), new_id()
    push(coordinator, mutation(1), device=known)
    devices.revoke(coordinator.device, at=coordinator.device.created_at)

    for device in (known, late):
        (result,) = push(coordinator, mutation(2 if device == known else 1), device=device).json()["results"]
        assert (result["outcome"], result["code"]) == ("held", "device_revoked")

    assert not Device.objects.filter(revoked_at=None, person=coordinator.person).exists()


@pytest.mark.parametrize("whose", ["another person's device", "another person's copy", "another device's copy"])
def test_nobody_counts_under_an_id_of_another_token(coordinator, volunteer, whose):
    other = volunteer.device
    if whose == "another device's copy":
        other, _ = devices.mint(coordinator.person, "tablet", at=coordinator.device.created_at)
    taken = other.id if whose == "another person's device" else new_id()
    devices.under_id(other, taken, at=coordinator.device.created_at)

    refused = push(coordinator, mutation(1), device=taken)

    assert (refused.status_code, refused.json()["code"]) == (403, "not_this_device")


def test_a_device_that_takes_a_new_id_each_time_is_stopped(coordinator, monkeypatch):
    monkeypatch.setattr(devices, "MOST", 3)
    for _ in range(2):
        assert push(coordinator, mutation(1), device=new_id()).status_code == 200

    refused = push(coordinator, mutation(1), device=new_id())

    assert (refused.status_code, refused.json()["code"]) == (409, "too_many_devices")
    assert Property.objects.count() == 2


def test_a_copy_is_renamed_with_its_device_and_never_by_itself(coordinator):
    copy = new_id()
    push(coordinator, mutation(1), device=copy)

    devices.rename(coordinator.device, "Wet phone")

    assert Device.objects.get(id=copy).name == "Wet phone"
    answer = coordinator.signed_in().post(f"/api/v1/devices/{copy}/revoke", "{}", "application/json")
    assert answer.status_code == 404
    assert UUID(listed(coordinator)[0]["id"]) == coordinator.device.id
