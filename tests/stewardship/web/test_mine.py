"""My account: password, addresses, sign-ins and devices that a person sees and ends, leaving."""

import re

import pytest
from allauth.usersessions.models import UserSession
from django.core import mail
from django.test import Client

from stewardship.accounts.joining import verify
from stewardship.accounts.models import Device, Member, Person
from tests.stewardship.accounts.test_limits import LOGIN, PASSWORD
from tests.stewardship.web.pages import body, send

NEW = "nine herons at the ford"


@pytest.fixture
def tobias(cast):
    """Give a volunteer who signs in with a password."""
    person = cast.volunteer.person
    person.set_password(PASSWORD)
    person.save()
    verify(person, person.email)
    return cast.volunteer


def signed_in(someone, password=PASSWORD, **headers):
    client = Client(headers=headers)
    client.post(LOGIN, {"login": someone.person.email, "password": password})
    return client


def is_in(client):
    return client.get("/").status_code == 200


def shows_it_is_them(client, path):
    return client.post(f"/accounts/reauthenticate/?next={path}", {"password": PASSWORD, "next": path})


def code_in(letter):
    return next(line for line in letter.body.splitlines() if re.fullmatch(r"[A-Z0-9]{4,}(-[A-Z0-9]+)*", line))


def test_a_changed_password_ends_every_other_sign_in_and_a_letter_tells_of_it(tobias):
    own, other = signed_in(tobias), signed_in(tobias)

    done = own.post(
        "/accounts/password/change/", {"oldpassword": PASSWORD, "password1": NEW, "password2": NEW}, follow=True
    )

    assert "Your password is changed." in body(done)
    assert (is_in(own), is_in(other), is_in(signed_in(tobias, NEW))) == (True, False, True)
    assert mail.outbox[-1].subject == "Your password was changed"
    assert "If it was not, choose a new password now" in mail.outbox[-1].body


def test_a_password_is_chosen_anew_with_a_code_and_every_sign_in_ends(tobias):
    old, client = signed_in(tobias), Client()
    client.post("/accounts/password/reset/", {"email": tobias.person.email})

    client.post("/accounts/password/reset/confirm/", {"code": code_in(mail.outbox[-1])})
    done = client.post("/accounts/password/reset/complete/", {"password1": NEW, "password2": NEW}, follow=True)
    assert "From now on sign in with the new one. Go on" in body(done)

    assert done.status_code == 200
    assert (is_in(old), is_in(signed_in(tobias, NEW)), is_in(signed_in(tobias))) == (False, True, False)
    assert mail.outbox[-1].subject == "Your password was changed"


def test_another_address_counts_once_a_code_proved_it(tobias):
    client = signed_in(tobias)
    shows_it_is_them(client, "/accounts/email/")
    asked = client.post("/accounts/email/", {"action_add": "", "email": "tobias.quill@tamarack.example"}, follow=True)
    wrong = client.post("/accounts/confirm-email/", {"code": "XXXXXX"})
    before = tobias.person.emailaddress_set.filter(verified=True).count()
    client.post("/accounts/confirm-email/", {"code": code_in(mail.outbox[-1])})

    assert "Enter the code" in body(asked)
    assert "Incorrect code" in body(wrong)
    assert before == 1
    assert tobias.person.emailaddress_set.get(email="tobias.quill@tamarack.example").verified


def test_sign_ins_are_seen_and_ended_one_by_one_or_all_others(tobias):
    own, phone, library = (signed_in(tobias, User_Agent=name) for name in ("Own", "Phone", "Library"))
    told = body(own.get("/my/sessions/"))
    of_phone = UserSession.objects.get(user_agent="Phone")

    own.post(f"/my/sessions/{of_phone.pk}/end/")
    one = [is_in(client) for client in (own, phone, library)]
    own.post("/my/sessions/others/end/")

    assert "This browser" in told
    assert "Phone, from 127.0.0.1" in told
    assert one == [True, False, True]
    assert [is_in(client) for client in (own, phone, library)] == [True, False, False]


def test_ending_the_sign_in_at_hand_signs_out(tobias):
    own = signed_in(tobias)

    ended = own.post(f"/my/sessions/{UserSession.objects.get().pk}/end/")

    assert ended["Location"] == "/accounts/login/"
    assert not is_in(own)


def test_nobody_ends_the_sign_in_or_device_of_somebody_else(cast, tobias):
    signed_in(tobias)
    maren = cast.coordinator.signed_in()

    for path in (
        f"/my/sessions/{UserSession.objects.get(user=tobias.person).pk}/end/",
        f"/my/devices/{tobias.device.id}/revoke/",
        f"/my/devices/{tobias.device.id}/rename/",
    ):
        assert maren.post(path, {"name": "mine"}).status_code == 404
    assert Device.objects.get(id=tobias.device.id).name == "phone"


def test_a_device_is_renamed_and_revoked(tobias):
    client, device = signed_in(tobias), tobias.device

    refused = client.post(f"/my/devices/{device.id}/rename/", {"name": " "})
    client.post(f"/my/devices/{device.id}/rename/", {"name": "Wet phone"})
    told = body(client.get("/my/sessions/"))
    client.post(f"/my/devices/{device.id}/revoke/")

    assert refused.status_code == 400
    assert "Wet phone added Sat 1 May 2027, not seen yet" in told
    assert tobias.client().get("/api/v1/me").status_code == 401
    assert "Revoked Wet phone" in body(client.get("/my/sessions/"))


def test_a_device_is_renamed_by_the_api_by_its_owner_alone(cast):
    address = f"/api/v1/devices/{cast.volunteer.device.id}"

    own = cast.volunteer.client().patch(address, '{"name": "Wet phone"}', "application/json")
    other = cast.coordinator.client().patch(address, '{"name": "Mine"}', "application/json")

    assert (own.status_code, own.json()["name"], other.status_code) == (200, "Wet phone", 404)


def test_a_member_leaves_after_being_asked(cast, tobias):
    client = signed_in(tobias)
    asked = body(client.get("/my/leave/"))
    done = send(client, "/my/leave/")

    assert "What you recorded stays." in asked
    assert done["Location"] == "/groups/"
    assert Member.objects.get(id=tobias.member.id).ended_at


def test_the_last_coordinator_is_told_why_she_cannot_leave(cast):
    response = send(cast.coordinator.signed_in(), "/my/leave/")

    assert response.status_code == 409
    assert "This is the group's only coordinator." in body(response)


def test_an_account_whose_address_was_never_proved_is_asked_for_a_code_at_sign_in(cast):
    person = Person.objects.create_user("nell@tamarack.example", PASSWORD)
    client = Client()

    first = client.post(LOGIN, {"login": person.email, "password": PASSWORD}, follow=True)
    client.post("/accounts/confirm-email/", {"code": code_in(mail.outbox[-1])})

    assert "Enter the code" in body(first)
    assert client.get("/my/").status_code == 200


OWN_PAGES = [
    ("/my/", "Signing in"),
    ("/my/sessions/", "Where I am signed in"),
    ("/my/leave/", "Leave Tamarack Hollow Stewards?"),
    ("/accounts/email/", "E-mail addresses"),
    ("/accounts/password/change/", "Change my password"),
    ("/accounts/2fa/", "App for codes"),
    ("/accounts/2fa/totp/activate/", "Please show that it is you"),
    ("/accounts/reauthenticate/", "Please show that it is you"),
    ("/accounts/sessions/", "See and end them"),
]


@pytest.mark.parametrize(("path", "words"), OWN_PAGES, ids=[path for path, _ in OWN_PAGES])
def test_each_page_of_ones_account_opens_in_our_look(tobias, path, words):
    page = signed_in(tobias).get(path, follow=True)

    assert page.status_code == 200
    assert words in body(page)
    assert "The label is the law." in body(page)
