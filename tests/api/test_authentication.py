"""Who is asking: devices, sessions of a browser, sessions without one."""

import json
from datetime import timedelta

import pytest
from django.core import mail
from django.test import Client
from django.utils import timezone

from stewardship.accounts.joining import verify
from stewardship.accounts.models import Device, Person
from tests.api.asking import at, get

PASSWORD = "a-long-enough-sentence"
LOGIN = "/_allauth/app/v1/auth/login"


@pytest.fixture
def maren(coordinator):
    coordinator.person.set_password(PASSWORD)
    coordinator.person.save()
    verify(coordinator.person, coordinator.person.email)
    return coordinator.person


def sign_in(email="maren@tamarack.example", password=PASSWORD):
    return Client().post(LOGIN, {"email": email, "password": password}, "application/json")


def session_of(response):
    return Client(headers={"X-Session-Token": response.json()["meta"]["session_token"]})


def add_device(client, name="phone"):
    return client.post("/api/v1/devices", json.dumps({"name": name}), "application/json")


def test_a_device_is_added_from_a_sign_in_and_acts_with_its_token_from_then_on(coordinator, maren):
    made = add_device(session_of(sign_in()))

    token = made.json()["token"]
    device = Client(headers={"Authorization": f"Bearer {token}"})
    assert made.status_code == 201
    assert token.startswith("sdt_")
    assert len(token) >= len("sdt_") + 43
    assert device.get("/api/v1/me").json()["person"]["email"] == maren.email
    assert device.post(at(coordinator, "properties"), '{"name": "Heron Bend"}', "application/json").status_code == 201


def test_a_token_is_kept_nowhere(maren):
    made = add_device(session_of(sign_in())).json()

    row = Device.objects.filter(id=made["id"]).values().get()
    assert made["token"] not in str(row)
    assert made["token"] not in session_of(sign_in()).get("/api/v1/devices").content.decode()


def test_a_device_adds_no_device(coordinator):
    refused = add_device(coordinator.client())

    assert (refused.status_code, refused.json()["code"]) == (403, "session_needed")


def test_the_cookie_of_a_browser_adds_a_device_too(coordinator):
    assert add_device(coordinator.signed_in()).status_code == 201


def test_nobody_has_more_devices_than_they_can_carry(coordinator):
    client = coordinator.signed_in()
    Device.objects.bulk_create(
        Device(person=coordinator.person, name="x", secret_hash=str(n), created_at=timezone.now()) for n in range(49)
    )

    refused = add_device(client)

    assert (refused.status_code, refused.json()["code"]) == (409, "too_many_devices")


@pytest.mark.parametrize("body", ["{}", '{"name": ""}', '{"name": "  "}', '{"name": 5}', '{"name": "x", "token": "y"}'])
def test_a_device_has_a_name_and_nothing_else(coordinator, body):
    refused = coordinator.signed_in().post("/api/v1/devices", body, "application/json")

    assert (refused.status_code, refused.json()["code"]) == (400, "unreadable")


def test_a_revoked_device_is_nobody(coordinator):
    client = coordinator.client()
    revoked = client.post(f"/api/v1/devices/{coordinator.device.id}/revoke", "{}", "application/json")

    after = client.get("/api/v1/me")

    assert revoked.status_code == 200
    assert revoked.json()["revoked_at"]
    assert (after.status_code, after.json()["code"]) == (401, "authentication_failed")


def test_revoking_again_changes_nothing(coordinator):
    client, address = coordinator.signed_in(), f"/api/v1/devices/{coordinator.device.id}/revoke"

    first = client.post(address, "{}", "application/json").json()

    assert client.post(address, "{}", "application/json").json() == first


def test_nobody_revokes_another_persons_device(coordinator, volunteer):
    refused = coordinator.client().post(f"/api/v1/devices/{volunteer.device.id}/revoke")

    assert refused.status_code == 404
    assert volunteer.client().get("/api/v1/me").status_code == 200


def test_devices_are_listed_to_their_own_person(coordinator):
    (listed,) = coordinator.client().get("/api/v1/devices").json()["results"]

    assert listed["id"] == str(coordinator.device.id)
    assert listed["is_this"] is True


def test_a_person_who_may_not_sign_in_is_nobody_by_any_door(coordinator, maren):
    session = session_of(sign_in())
    Person.objects.filter(id=maren.id).update(is_active=False)

    assert coordinator.client().get("/api/v1/me").status_code == 401
    assert session.get("/api/v1/me").status_code == 401


def test_a_device_is_noted_as_seen_at_most_once_an_hour(coordinator):
    client = coordinator.client()
    seen = []
    for ago in (None, timedelta(minutes=59), timedelta(minutes=61)):
        before = ago and timezone.now() - ago
        Device.objects.filter(id=coordinator.device.id).update(last_seen_at=before)
        client.get("/api/v1/me")
        coordinator.device.refresh_from_db()
        seen.append(coordinator.device.last_seen_at == before)

    assert seen == [False, True, False]


def test_a_token_is_known_with_one_query(coordinator, django_assert_num_queries):
    client = coordinator.client()
    client.get("/api/v1/me")

    with django_assert_num_queries(2):  # the device with its person; the memberships with their groups
        client.get("/api/v1/me")


def test_me_tells_where_the_person_belongs_and_what_they_may_do_there(volunteer, cast):
    told = volunteer.client().get("/api/v1/me").json()

    (membership,) = told["memberships"]
    assert told["person"] == {"id": str(volunteer.person.id), "email": "tobias@tamarack.example"}
    assert membership["group"] == {
        "id": str(cast.group.id), "name": "Tamarack Hollow Stewards", "time_zone": "America/Chicago",
        "volume_unit": "fl_oz", "mass_unit": "lb", "area_unit": "acre",
    }  # fmt: skip
    assert (membership["member"], membership["role"]) == (str(volunteer.member.id), "volunteer")
    assert "record_work" in membership["may"]
    assert "manage_members" not in membership["may"]


def test_who_left_belongs_nowhere(former):
    assert former.client().get("/api/v1/me").json()["memberships"] == []
    assert get(former, "members").json()["code"] == "not_permitted"


def test_nobody_signs_up_by_themselves(db):
    headless = Client().post(
        "/_allauth/app/v1/auth/signup", {"email": "new@tamarack.example", "password": PASSWORD}, "application/json"
    )
    page = Client().post(
        "/accounts/signup/", {"email": "new@tamarack.example", "password1": PASSWORD, "password2": PASSWORD}
    )

    assert headless.status_code == 403
    assert page.status_code == 200
    assert not Person.objects.filter(email="new@tamarack.example").exists()


def test_an_address_is_the_same_in_any_case(maren):
    assert sign_in("MAREN@Tamarack.example").status_code == 200


def test_after_five_wrong_passwords_nobody_may_try_again_for_a_while(maren):
    for _ in range(5):
        assert sign_in(password="wrong").status_code == 400

    refused = sign_in()

    assert (refused.status_code, refused.json()["errors"][0]["code"]) == (429, "too_many_attempts")


def test_who_works_along_without_an_address_does_not_sign_in(coordinator):
    coordinator.does("member", "create", display_name="Pip", role="volunteer")

    assert sign_in("", "x").status_code == 400


def test_a_password_is_set_anew_by_a_code_in_a_letter(coordinator):
    client = Client()
    asked = client.post(
        "/_allauth/browser/v1/auth/password/request", {"email": "maren@tamarack.example"}, "application/json"
    )
    code = next(line for line in mail.outbox[0].body.splitlines() if line and line == line.upper() and " " not in line)

    done = client.post(
        "/_allauth/browser/v1/auth/password/reset", {"key": code, "password": PASSWORD}, "application/json"
    )

    assert (asked.status_code, done.status_code) == (401, 401)  # so far nobody is signed in
    assert sign_in().status_code == 200


def test_a_letter_goes_to_nobody_who_is_unknown(db):
    asked = Client().post(
        "/_allauth/browser/v1/auth/password/request", {"email": "nobody@tamarack.example"}, "application/json"
    )

    assert asked.status_code == 401
    assert "nobody@tamarack.example" not in str(Person.objects.values())
