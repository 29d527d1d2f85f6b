"""The second factor: codes as the standard has them, at each door, and recovery codes."""

import base64
import json
import re
import time

import pyotp
import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal import auth as totp
from django.core import mail
from django.core.cache import cache
from django.test import Client

from stewardship.accounts.joining import verify
from tests.published import published
from tests.stewardship.accounts.test_limits import HEADLESS, LOGIN, PASSWORD
from tests.stewardship.web.pages import body

OF_THE_STANDARD = base64.b32encode(b"12345678901234567890").decode()
STEP_S = 30


@pytest.fixture
def maren(coordinator):
    """Give the coordinator, who signs in with a password."""
    coordinator.person.set_password(PASSWORD)
    coordinator.person.save()
    verify(coordinator.person, coordinator.person.email)
    return coordinator


@pytest.fixture
def enrolled(maren):
    """Give the secret of the coordinator's app."""
    secret = totp.generate_totp_secret()
    totp.TOTP.activate(maren.person, secret)
    RecoveryCodes.activate(maren.person)
    return secret


def signs_in(person, client=None):
    client = client or Client()
    return client, client.post(LOGIN, {"login": person.email, "password": PASSWORD})


@pytest.mark.parametrize("row", published("rfc6238_appendix_b"), ids=lambda row: row["seconds"])
def test_codes_are_those_of_the_standard(row, monkeypatch, settings):
    """RFC 6238, Appendix B, mode SHA1; pyotp reckons the same."""
    settings.MFA_TOTP_DIGITS, settings.MFA_TOTP_TOLERANCE = 8, 0
    monkeypatch.setattr(totp.time, "time", lambda: int(row["seconds"]))

    assert pyotp.TOTP(OF_THE_STANDARD, digits=8).at(int(row["seconds"])) == row["code"]
    assert totp.validate_totp_code(OF_THE_STANDARD, row["code"])
    assert not totp.validate_totp_code(OF_THE_STANDARD, f"{(int(row['code']) + 1) % 10**8:08}")


@pytest.mark.parametrize(("steps", "opens"), [(-2, False), (-1, True), (0, True), (1, True), (2, False)])
def test_a_code_opens_one_step_to_either_side_and_no_further(steps, opens, monkeypatch):
    now = 1_800_000_015
    monkeypatch.setattr(totp.time, "time", lambda: now)
    secret = totp.generate_totp_secret()

    assert totp.validate_totp_code(secret, pyotp.TOTP(secret).at(now + steps * STEP_S)) is opens


@pytest.mark.django_db(transaction=True)
def test_setting_it_up_takes_the_password_anew_and_a_code_of_the_app(maren):
    client, _ = signs_in(maren.person)
    asked = client.get("/accounts/2fa/totp/activate/", follow=True)
    opened = client.post(
        asked.request["PATH_INFO"] + "?next=/accounts/2fa/totp/activate/", {"password": PASSWORD}, follow=True
    )
    secret = opened.context["form"].secret

    wrong = client.post("/accounts/2fa/totp/activate/", {"code": "000000"})
    done = client.post("/accounts/2fa/totp/activate/", {"code": pyotp.TOTP(secret).now()})

    assert "Please show that it is you" in body(asked)
    assert "Set up the app" in body(opened)
    assert "Incorrect code" in body(wrong)
    assert done["Location"] == "/accounts/2fa/recovery-codes/"
    assert "The second factor is on." in body(client.get(done["Location"]))
    assert Authenticator.objects.filter(user=maren.person, type="totp").exists()
    assert mail.outbox[-1].subject == "Your second factor is on"
    assert re.search(r"\d\d:\d\d C[SD]T, from", mail.outbox[-1].body), "told by the clock of Chicago, the group's"


def test_who_has_one_is_signed_in_by_the_code_and_not_by_the_password_alone(maren, enrolled):
    client, first = signs_in(maren.person)
    before = client.get("/people/")

    wrong = client.post("/accounts/2fa/authenticate/", {"code": "000000"})
    done = client.post("/accounts/2fa/authenticate/", {"code": pyotp.TOTP(enrolled).now()})

    assert first["Location"] == "/accounts/2fa/authenticate/"
    assert before.status_code == 302
    assert "Incorrect code" in body(wrong)
    assert done.status_code == 302
    assert client.get("/people/").status_code == 200


def test_a_code_is_used_once(maren, enrolled):
    code = pyotp.TOTP(enrolled).now()
    first, _ = signs_in(maren.person)
    second, _ = signs_in(maren.person)

    assert first.post("/accounts/2fa/authenticate/", {"code": code}).status_code == 302
    assert second.post("/accounts/2fa/authenticate/", {"code": code}).status_code == 429
    assert second.get("/people/").status_code == 302


def test_a_code_is_used_once_however_it_is_written_and_whatever_else_forgot_it(maren, enrolled):
    code = pyotp.TOTP(enrolled).now()
    first, _ = signs_in(maren.person)
    second, _ = signs_in(maren.person)
    first.post("/accounts/2fa/authenticate/", {"code": code})
    cache.clear()  # that of another process, or half a minute later

    again = second.post("/accounts/2fa/authenticate/", {"code": f"{code[:3]}-{code[3:]}"})

    assert again.status_code == 429
    assert second.get("/people/").status_code == 302


@pytest.mark.parametrize("header", [True, False])
def test_codes_are_guessed_five_times_whatever_other_session_is_named(maren, enrolled, header):
    """A browser is who its cookie says, a program who its token says: the other one is nobody's business."""
    for n in range(6):
        victim, _ = signs_in(maren.person)
        other = Client()
        other.post("/accounts/password/reset/", {"email": f"x{n}@tamarack.example"})
        token = {"X-Session-Token": (other if header else victim).session.session_key}
        door = "browser" if header else "app"
        client = victim if header else other
        told = client.post(
            f"/_allauth/{door}/v1/auth/2fa/authenticate", {"code": f"00000{n}"}, "application/json", headers=token
        )

        assert told.status_code == (400 if n < 5 else 429)


def test_a_recovery_code_lets_in_once(maren, enrolled):
    code = RecoveryCodes(Authenticator.objects.get(user=maren.person, type="recovery_codes")).get_unused_codes()[0]
    first, _ = signs_in(maren.person)
    second, _ = signs_in(maren.person)

    assert first.post("/accounts/2fa/authenticate/", {"code": code}).status_code == 302
    assert second.post("/accounts/2fa/authenticate/", {"code": code}).status_code in (200, 429)
    assert second.get("/people/").status_code == 302
    assert (
        len(RecoveryCodes(Authenticator.objects.get(user=maren.person, type="recovery_codes")).get_unused_codes()) == 9
    )


def test_codes_are_guessed_five_times_and_no_more(maren, enrolled):
    client, _ = signs_in(maren.person)

    told = [client.post("/accounts/2fa/authenticate/", {"code": f"00000{n}"}).status_code for n in range(7)]

    assert told == [200] * 5 + [429] * 2


def test_a_program_signs_in_with_the_code_too_and_only_then_adds_a_device(maren, enrolled):
    first = Client().post(HEADLESS, {"email": maren.person.email, "password": PASSWORD}, "application/json")
    token = first.json()["meta"]["session_token"]
    program = Client(headers={"X-Session-Token": token})
    early = program.post("/api/v1/devices", json.dumps({"name": "phone"}), "application/json")

    second = program.post(
        "/_allauth/app/v1/auth/2fa/authenticate", {"code": pyotp.TOTP(enrolled).now()}, "application/json"
    )
    after = Client(headers={"X-Session-Token": second.json()["meta"].get("session_token", token)})
    late = after.post("/api/v1/devices", json.dumps({"name": "phone"}), "application/json")

    assert (first.status_code, early.status_code) == (401, 401)
    assert (second.status_code, late.status_code) == (200, 201)


def test_a_session_that_did_not_pass_the_second_factor_adds_no_device(maren, enrolled):
    refused = maren.signed_in().post("/api/v1/devices", json.dumps({"name": "phone"}), "application/json")

    assert (refused.status_code, refused.json()["code"]) == (403, "second_factor_needed")


def test_the_clock_of_the_codes_is_that_of_the_machine():
    secret = totp.generate_totp_secret()

    assert totp.validate_totp_code(secret, pyotp.TOTP(secret).at(int(time.time())))
