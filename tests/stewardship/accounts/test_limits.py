"""Limits where attempts come in: pages, headless sign-in, links; by account and by client address."""

import json
from functools import partial
from itertools import count
from statistics import median
from time import perf_counter

import pytest
from django.core import mail
from django.test import Client, RequestFactory

from stewardship.accounts.joining import verify
from stewardship.accounts.limits import KNOWN, ROUTES, client_address
from stewardship.accounts.models import Person
from stewardship.sync.demo import DEMO_PASSWORD as PASSWORD
from tests.concurrency import in_threads

LOGIN, HEADLESS = "/accounts/login/", "/_allauth/app/v1/auth/login"
EMAIL = "maren@tamarack.example"
SPOOFS = count(1)


@pytest.fixture
def maren(db):
    person = Person.objects.create_user(EMAIL, PASSWORD)
    verify(person, EMAIL)
    return person


def page(email=EMAIL, password="wrong", **headers):
    return Client().post(LOGIN, {"login": email, "password": password}, headers=headers)


def headless(email=EMAIL, password="wrong", **headers):
    return Client().post(HEADLESS, {"email": email, "password": password}, "application/json", headers=headers)


@pytest.mark.parametrize("door", [page, headless])
def test_after_five_wrong_passwords_even_the_right_one_waits(maren, door):
    for _ in range(5):
        assert door().status_code in (200, 400)

    refused = door(password=PASSWORD)

    assert refused.status_code == 429
    assert 0 < int(refused["Retry-After"]) <= 300
    assert "Wait 5 minutes, then try again." in refused.content.decode()


def test_one_door_counts_for_the_other_and_the_case_of_an_address_makes_no_difference(maren):
    told = [door(email).status_code for door in (page, headless) for email in (EMAIL, EMAIL.upper(), f" {EMAIL}")]

    assert told[:3] == [200] * 3
    assert told.count(429) == 1


@pytest.fixture
def waiting_for_a_code(maren):
    """Give sessions that wait for the code of a letter to some other address: one of a browser, one of a program."""

    def begun():
        browser, other = Client(), f"{next(SPOOFS)}@tamarack.example"
        browser.post("/accounts/password/reset/", {"email": other})
        return browser, {"X-Session-Token": browser.session.session_key}

    return begun


def test_nothing_else_that_is_sent_chooses_whose_attempt_it_is(maren, waiting_for_a_code):
    """Neither a field that nobody reads, nor a session that is about another address, by cookie or by token."""
    said = {"email": EMAIL, "password": "wrong", "login": "x@tamarack.example"}
    browser, token = waiting_for_a_code()

    tried = [
        Client().post(HEADLESS, said, "application/json"),
        Client().post(LOGIN, {"login": EMAIL, "password": "wrong", "email": "x@tamarack.example"}),
        browser.post(LOGIN, {"login": EMAIL, "password": "wrong"}),
        browser.post(HEADLESS, said, "application/json"),
        Client().post(HEADLESS, said, "application/json", headers=token),
        Client().post(HEADLESS, said, "application/json"),
    ]

    assert [each.status_code for each in tried] == [400, 200, 200, 400, 400, 429]


def test_all_the_addresses_of_a_person_are_one_account(maren):
    verify(maren, "maren.aske@tamarack.example")

    told = [page(email).status_code for email in (EMAIL, "Maren.Aske@tamarack.example") * 3]

    assert told == [200] * 5 + [429]


def test_letters_with_a_code_go_to_an_address_five_times_whatever_the_session_waits_for(maren, waiting_for_a_code):
    told = [waiting_for_a_code()[0].post("/accounts/password/reset/", {"email": EMAIL}).status_code for _ in range(6)]

    assert told == [302] * 5 + [429]
    assert [letter.to for letter in mail.outbox].count([EMAIL]) == 5


@pytest.mark.parametrize("email", ["\ud800@tamarack.example", "\0@tamarack.example", "x" * 300 + "@tamarack.example"])
def test_what_can_be_no_address_is_refused_as_wrong(db, email):
    assert Client().post(HEADLESS, json.dumps({"email": email, "password": "x"}), "application/json").status_code == 400


def test_what_is_nested_without_end_is_no_attempt_of_anybody(db):
    assert Client().post(HEADLESS, "[" * 200_000, "application/json").status_code == 400


def test_who_guesses_elsewhere_does_not_shut_out_a_browser_in_which_somebody_signed_in_before(maren):
    """The defence of https://owasp.org/www-community/Slow_Down_Online_Guessing_Attacks_with_Device_Cookies ."""
    own, tobias, forged = Client(), Person.objects.create_user("tobias@tamarack.example", PASSWORD), Client()
    verify(tobias, tobias.email)
    own.post(LOGIN, {"login": EMAIL, "password": PASSWORD})
    anothers = Client()
    anothers.post(LOGIN, {"login": tobias.email, "password": PASSWORD})
    forged.cookies[KNOWN] = own.cookies[KNOWN].value.replace(maren.pk.hex, tobias.pk.hex)
    signed_in = Client()
    signed_in.post(LOGIN, {"login": EMAIL, "password": PASSWORD})
    for client in (own, anothers):
        client.post("/accounts/logout/")
    for email in (EMAIL, tobias.email):
        for _ in range(5):
            page(email)

    def tries(client, email, password):
        return client.post(LOGIN, {"login": email, "password": password}).status_code

    assert [page(password=PASSWORD).status_code, tries(anothers, EMAIL, PASSWORD)] == [429, 429]
    assert tries(forged, tobias.email, PASSWORD) == 429
    assert signed_in.post("/accounts/reauthenticate/", {"password": PASSWORD}).status_code == 302
    assert [tries(own, EMAIL, "wrong") for _ in range(4)] + [tries(own, EMAIL, PASSWORD)] == [200] * 4 + [302]


def test_a_known_browser_guesses_no_oftener_than_any_other(maren):
    own = Client()
    own.post(LOGIN, {"login": EMAIL, "password": PASSWORD})
    own.post("/accounts/logout/")

    told = [own.post(LOGIN, {"login": EMAIL, "password": "wrong"}).status_code for _ in range(6)]

    assert told == [200] * 5 + [429]
    assert own.cookies[KNOWN]["httponly"]


def test_who_knows_the_password_signs_in_however_often(maren):
    assert [page(password=PASSWORD).status_code for _ in range(8)] == [302] * 8


def test_a_client_address_tries_twenty_accounts_and_no_more_whatever_it_says_of_itself(db):
    def spoofed():
        return headless(f"{next(SPOOFS)}@tamarack.example", X_Forwarded_For=f"10.9.8.{next(SPOOFS)}").status_code

    assert [spoofed() for _ in range(22)] == [400] * 20 + [429] * 2


def test_asking_for_a_new_password_is_limited_alike_for_known_and_unknown(maren):
    def asks(email):
        return Client().post("/accounts/password/reset/", {"email": email}).status_code

    assert [asks(EMAIL) for _ in range(6)] == [302] * 5 + [429]
    assert [asks("nobody@tamarack.example") for _ in range(6)] == [302] * 5 + [429]


def test_codes_from_a_letter_are_guessed_ten_times_and_no_more(maren):
    told = []
    for _ in range(4):
        client = Client()
        client.post("/accounts/password/reset/", {"email": EMAIL})
        told += [client.post("/accounts/password/reset/confirm/", {"code": "AAAAAA"}).status_code for _ in range(3)]

    assert told[-2:] == [429, 429]


def test_links_of_invitations_are_guessed_thirty_times_from_an_address(db):
    told = [Client().get(f"/invitations/guess{n}/").status_code for n in range(32)]

    assert told == [404] * 30 + [429] * 2


def test_every_limited_address_is_there():
    from django.urls import get_resolver

    names = set(_names(get_resolver(), ()))
    shortened = {":".join(name.split(":")[-2:]) if name.startswith("headless:") else name for name in names}

    assert set(ROUTES) - shortened == set()


def _names(resolver, spaces):
    for pattern in resolver.url_patterns:
        if hasattr(pattern, "url_patterns"):
            yield from _names(pattern, (*spaces, *filter(None, [pattern.namespace])))
        elif pattern.name:
            yield ":".join((*spaces, pattern.name))


# -- at once ---------------------------------------------------------------------------------------


def guesses(door):
    return door(password=f"guess {next(SPOOFS)}", X_Forwarded_For=f"10.1.2.{next(SPOOFS)}").status_code


@pytest.mark.django_db(transaction=True)
def test_sixty_four_threads_guess_no_oftener_than_the_limit_with_forwarding_headers_of_their_own(settings):
    settings.ALLAUTH_TRUSTED_PROXY_COUNT = 0
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    verify(Person.objects.create_user(EMAIL, PASSWORD), EMAIL)

    told = in_threads([partial(guesses, page if n % 2 else headless) for n in range(64)], connected=False)

    assert told.count(429) == 59, told
    assert sum(status in (200, 400) for status in told) == 5


# -- whose address ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("proxies", "forwarded", "address"),
    [
        (0, "1.1.1.1", "9.9.9.9"),
        (1, "1.1.1.1", "1.1.1.1"),
        (1, "6.6.6.6, 1.1.1.1", "1.1.1.1"),
        (2, "6.6.6.6, 1.1.1.1, 2.2.2.2", "1.1.1.1"),
        (2, "2.2.2.2", "9.9.9.9"),
        (1, None, "9.9.9.9"),
        (1, "rubbish", "9.9.9.9"),
        (1, "2001:db8:1:2:aaaa::1", "2001:db8:1:2::"),
        (1, "2001:db8:1:2:bbbb::2", "2001:db8:1:2::"),
    ],
)
def test_an_address_is_told_by_the_proxies_that_are_ours(settings, proxies, forwarded, address):
    settings.ALLAUTH_TRUSTED_PROXY_COUNT = proxies
    headers = {} if forwarded is None else {"X-Forwarded-For": forwarded}

    assert client_address(RequestFactory().get("/", REMOTE_ADDR="9.9.9.9", headers=headers)) == address


# -- a known and an unknown address ----------------------------------------------------------------


@pytest.mark.parametrize("door", [page, headless])
def test_a_known_and_an_unknown_address_are_answered_alike(maren, door):
    known, unknown = door(EMAIL), door("nobody@tamarack.example")

    assert known.status_code == unknown.status_code
    assert _plain(known, EMAIL) == _plain(unknown, "nobody@tamarack.example")
    assert set(known.headers) == set(unknown.headers)


@pytest.mark.parametrize("path", ["/accounts/password/reset/", "/_allauth/browser/v1/auth/password/request"])
def test_asking_for_a_new_password_is_answered_alike_and_sends_one_letter(maren, path):
    told = []
    for email in (EMAIL, "nobody@tamarack.example"):
        kind = {"content_type": "application/json"} if "_allauth" in path else {}
        answer = Client().post(path, {"email": email}, follow=True, **kind)
        told.append((answer.status_code, _plain(answer, email)))

    assert told[0] == told[1]
    assert [letter.to for letter in mail.outbox] == [[EMAIL], ["nobody@tamarack.example"]]


def test_an_unknown_address_costs_a_password_hash_like_a_known_one(maren, monkeypatch):
    from django.contrib.auth import hashers

    hashed = []
    for name in ("encode", "verify"):
        real = getattr(hashers.Argon2PasswordHasher, name)
        monkeypatch.setattr(
            hashers.Argon2PasswordHasher, name, lambda *a, real=real, name=name: (hashed.append(name), real(*a))[1]
        )
    for email in (EMAIL, "nobody@tamarack.example", "pip@tamarack.example"):
        if email.startswith("pip"):
            Person.objects.create_user(email)
        hashed.clear()
        headless(email)

        assert len(hashed) == 1, email


@pytest.mark.heavy
def test_an_unknown_address_takes_as_long_as_a_known_one(maren, monkeypatch):
    monkeypatch.setattr("stewardship.accounts.limits.take", lambda *args, **kwargs: None)
    spans = {EMAIL: [], "nobody@tamarack.example": []}
    for _ in range(60):
        for email, took in spans.items():
            began = perf_counter()
            headless(email)
            took.append(perf_counter() - began)

    known, unknown = (median(took) for took in spans.values())
    assert abs(known - unknown) < 0.2 * known, (known, unknown)


def _plain(response, email):
    """Return a body without the address that was typed and without what is random on each page."""
    import re

    text = response.content.decode().replace(email, "…")
    text = re.sub(r'name="csrfmiddlewaretoken" value="[^"]+"', "", text)
    if text.startswith("{"):
        told = json.loads(text)
        told.get("meta", {}).pop("session_token", None)
        return told
    return text
