"""Who sees which page: by role, by group, signed in or not."""

import re

import pytest
from django.test import Client

from stewardship.accounts.joining import verify
from stewardship.journal.ids import new_id
from stewardship.sync.models import Mutation
from stewardship.workdays.models import WorkDay
from tests.cast import sent
from tests.stewardship.treatments.bottles import taken_out
from tests.stewardship.web.pages import body, mix_of, send
from tests.trainings import rule, trains

ALL, FIELD, LEAD = ("coordinator", "volunteer", "reviewer"), ("coordinator", "volunteer"), ("coordinator",)

PAGES = [
    ("/", ALL, ""),
    ("/groups/", ALL, "In which group do you work now?"),
    ("/my/", ALL, "My account"),
    ("/to-settle/", ALL, "stands in no total until a coordinator settles it"),
    ("/to-settle/{held}/", FIELD, "Why it waits"),
    ("/my/calendar/", ALL, "Work days in your calendar"),
    ("/my/told/", ALL, "What I was told"),
    ("/my/how-told/", ALL, "These always come by mail"),
    ("/my/credentials/", ALL, "My credentials"),
    ("/people/kinds/", LEAD, "Kinds of credentials"),
    ("/people/kinds/new/", LEAD, "Source of these rules"),
    ("/people/{member}/credentials/", LEAD, "Something else"),
    ("/people/{member}/credentials/new/plain/", LEAD, "Last day on which it counts"),
    ("/people/reminders/", LEAD, "Reminders of the group"),
    ("/people/group/", LEAD, "Our group"),
    ("/people/", LEAD, "works along"),
    ("/my/papers/", ALL, "My credentials, trainings and credits"),
    ("/people/trainings/", LEAD, "Basal bark with volunteers"),
    ("/people/trainings/new/", LEAD, "Tick everybody who was there"),
    ("/people/trainings/roster/?from_date=2026-01-01&to_date=2027-12-31", LEAD, "What is missing"),
    ("/trainings/{training}/", FIELD, "up to and with Thu 1 Jul 2027"),
    ("/credentials/{credential}/", FIELD, "QX-4471"),
    ("/people/{member}/", LEAD, "belongs to the group"),
    ("/people/invite/", LEAD, "A letter goes to the address."),
    ("/people/add/", LEAD, "They stand on rosters"),
    ("/places/", ALL, "management unit"),
    ("/places/new/", LEAD, "Take in a property"),
    ("/places/{property}/", ALL, "Management units"),
    ("/work-days/", ALL, "Buckthorn at the bend"),
    ("/work-days/who-is-missing/", LEAD, "Who is missing"),
    ("/work-days/practices/", ALL, "What we go by on a work day"),
    ("/work-days/practices/new/", LEAD, "Enter what we go by"),
    ("/people/credentials/", LEAD, "Credentials on a date"),
    ("/work-days/new/", LEAD, "How many people are wanted"),
    ("/work-days/{day}/", ALL, "At the ford"),
    ("/people/consents/", LEAD, "What is asked of whoever comes"),
    ("/people/{member}/details/", LEAD, "Whom to call"),
    ("/work-days/{day}/keeping/", ALL, "Did anything go wrong?"),
    ("/work-days/{day}/roster/", LEAD, "keep it with you"),
    ("/places/{property}/emergency/", ALL, "Where an ambulance goes"),
    ("/work-days/{day}/sheet/", ALL, "Longest wait"),
    ("/work-days/{day}/transcribe/", FIELD, "Type the sheet"),
    ("/mix/", ALL, "Say what you want to end with."),
    ("/mix/card/?{mix}", ALL, "Pour in this order"),
    ("/mix/products/", ALL, "What mixes, lots and records name."),
    ("/mix/products/new/", LEAD, "Enter a product from its label"),
    ("/mix/products/{product}/", LEAD, "Batches keep what they were mixed with."),
    ("/batches/", ALL, "64 fl oz"),
    ("/batches/{batch}/", ALL, "54 fl oz left"),
    ("/stock/", LEAD, "Waiting for a count"),
    ("/stock/new/", LEAD, "One lot is what was bought at once"),
    ("/stock/{lot}/", LEAD, "received with this lot"),
    ("/bottles/", ALL, "Back, and in no line yet"),
    ("/bottles/out/", FIELD, "Number on the bottle"),
    ("/bottles/{bottle}/", ALL, "Bottle 3"),
    ("/record-use/", FIELD, "Applied by"),
    ("/sessions/{session}/", ALL, "10 fl oz"),
    ("/sessions/{session}/complete/", LEAD, "Complete the record"),
    ("/record-hand-work/", FIELD, "Person-hours"),
    ("/hand-work/{hand_work}/", ALL, "pulling"),
    ("/reports/", ALL, "Growing 2027"),
    ("/reports/{report}/", ALL, "A version is being compiled"),
    ("/reports/{report}/progress/", ALL, "A version is being compiled"),
    ("/yearly-use/", ALL, "triclopyr"),
    ("/yearly-use/{active}/{property}/{season}/", ALL, "The records behind these figures"),
    ("/yearly-use/{active}/{property}/none/", ALL, "No record stands behind this"),
    ("/units/{unit}/", ALL, "No stored ceiling counts what was used here in 2027."),
    ("/book/", ("coordinator", "reviewer"), "The book has not been read for this yet."),
    ("/balances/", LEAD, "They have not been held against one another yet."),
    ("/accounts/logout/", ALL, "Sign out?"),
]


@pytest.fixture
def ids(pages):
    """Give the id of something of each kind."""
    ground, does = pages.ground, pages.coordinator.does
    batch, session = ground.batch(), ground.session()
    line = ground.line(session, batch, "10")
    work = {"unit": ground.unit, "species": ground.species, "method": "pulling", "done_at": "2027-05-01T10:00:00-05:00"}
    report = does("season_report", "create", property=ground.property, season=pages.season).record
    training = trains(pages.coordinator, pages.cast.volunteer, rule(pages.coordinator))
    letter = {"email": "nell@tamarack.example", "role": "volunteer", "display_name": "Nell Osgood"}
    mix = "&".join(f"{name}={value}" for name, value in mix_of(pages).items())
    return {
        "invitation": does("invitation", "create", **letter).record.id,
        "lot": ground.lot(), "member": does("member", "create", display_name="Pip", role="volunteer").record.id,
        "day": pages.day, "mix": mix, "batch": batch, "session": session, "property": ground.property,
        "unit": ground.unit, "training": training.id, "product": ground.product,
        "held": pages.cast.volunteer.pushes(sent("property", "create", {"name": "Fen"})).results[0]["to_settle"],
        "credential": pages.licensed(pages.cast.volunteer),
        "hand_work": does("work_line", "create", **work).record.id, "report": report.id, "season": pages.season,
        "bottle": taken_out(ground, batch).id, "active": line.products[0]["actives"][0]["active_ingredient"],
    }  # fmt: skip


@pytest.fixture
def shown(pages, ids):
    """Give what each page answers to each of the group: (address, role) -> response."""
    browsers = {role: getattr(pages.cast, role).signed_in() for role in ALL}
    return {(a, role): browsers[role].get(a.format(**ids)) for a, *_ in PAGES for role in ALL}


def test_each_page_opens_for_its_roles_and_is_not_there_for_others(shown):
    found, wanted = {}, {}
    for address, roles, words in PAGES:
        for role in ALL:
            says = words if role in roles else "There is nothing here for you"
            response = shown[address, role]
            found[address, role] = (response.status_code, says in body(response))
            wanted[address, role] = (200 if role in roles else 404, True)

    assert found == wanted


def test_another_groups_ids_are_answered_like_unknown_ones(pages, ids):
    stranger = pages.cast.stranger.signed_in()
    nobodys = {name: new_id() for name in ids}
    named = [a for a, *_ in PAGES if "{" in a and a != "/mix/card/?{mix}"]

    for address in named:
        foreign, unknown = stranger.get(address.format(**ids)), stranger.get(address.format(**nobodys))

        assert (address, foreign.status_code, unknown.status_code) == (address, 404, 404)
        assert body(foreign) == body(unknown)


def test_a_product_of_another_group_makes_no_card(pages, ids):
    stranger = pages.cast.stranger.signed_in()

    response = stranger.get(f"/mix/card/?{ids['mix']}")

    assert response.status_code == 400
    assert "Pour in this order" not in body(response)
    assert "triclopyr" not in body(response)


WRITES = [
    ("/work-days/{day}/open/", LEAD),
    ("/work-days/{day}/confirm/", LEAD),
    ("/work-days/{day}/without-herbicide/", LEAD),
    ("/work-days/{day}/stop/", LEAD),
    ("/work-days/{day}/finish/", LEAD),
    ("/work-days/{day}/close/", LEAD),
    ("/work-days/{day}/cancel/", LEAD),
    ("/work-days/{day}/duty/", LEAD),
    ("/work-days/who-is-missing/{day}/sign-up/", LEAD),
    ("/work-days/{day}/sign-up/", FIELD),
    ("/work-days/{day}/sign-ups/{session}/withdraw/", FIELD),
    ("/work-days/{day}/check-in/", FIELD),
    ("/work-days/{day}/attendances/{session}/check-out/", FIELD),
    ("/people/{member}/details/details/", LEAD),
    ("/work-days/{day}/keep/answer/", FIELD),
    ("/work-days/{day}/keep/briefing/", FIELD),
    ("/work-days/{day}/keep/incident/", FIELD),
    ("/places/{property}/emergency/write/", LEAD),
    ("/people/{member}/phoned/", LEAD),
    ("/trainings/{training}/sign/", FIELD),
    ("/credentials/{credential}/file/", FIELD),
    ("/places/{property}/unit/", LEAD),
    ("/people/{member}/change/", LEAD),
    ("/people/{member}/sign-in/", LEAD),
    ("/people/{member}/suspend/", LEAD),
    ("/people/{member}/restore/", LEAD),
    ("/people/{member}/end/", LEAD),
    ("/people/{member}/reinstate/", LEAD),
    ("/people/{member}/erase/", LEAD),
    ("/people/invitations/{invitation}/resend/", LEAD),
    ("/people/invitations/{invitation}/withdraw/", LEAD),
    ("/mix/products/{product}/retire/", LEAD),
    ("/book/verify/", ("coordinator", "reviewer")),
    ("/stock/{lot}/count/", LEAD),
    ("/stock/{lot}/move/", LEAD),
    ("/bottles/{bottle}/back/", FIELD),
    ("/bottles/{bottle}/lines/", FIELD),
    ("/sessions/{session}/end/", FIELD),
    ("/sessions/{session}/photo/", FIELD),
    ("/batches/{batch}/photo/", FIELD),
    ("/sessions/{session}/attest/", FIELD),
    ("/sessions/{session}/countersign/", FIELD),
    ("/sessions/{session}/lock/", LEAD),
    ("/sessions/{session}/unlock/", LEAD),
    ("/reports/ask/{property}/{season}/", ("coordinator", "reviewer")),
]


def test_each_act_is_there_for_its_roles_alone_and_takes_only_a_post(pages, ids):
    before = Mutation.objects.count()
    for role in ALL:
        client = getattr(pages.cast, role).signed_in()
        for address, roles in WRITES:
            opened = client.get(address.format(**ids))

            told = (address, role, opened.status_code)
            assert told in [(address, role, 405)] + [(address, role, 404)] * (role not in roles)
            assert "There is nothing" in body(opened)
            if role not in roles:
                assert (address, role, send(client, address.format(**ids)).status_code) == (address, role, 404)
    assert Mutation.objects.count() == before


def test_an_act_on_something_of_another_group_is_not_there(pages, ids):
    stranger = pages.cast.stranger.signed_in()
    before = Mutation.objects.count()

    on_something = [address for address, _ in WRITES if "{" in address]
    answers = {address: send(stranger, address.format(**ids)).status_code for address in on_something}

    assert answers == dict.fromkeys(on_something, 404)
    assert Mutation.objects.count() == before


def test_an_act_that_nobody_knows_is_not_there(pages):
    assert send(pages.coordinator.signed_in(), f"/work-days/{pages.day}/dance/").status_code == 404


def test_a_form_without_the_token_of_its_page_is_refused_in_words_and_writes_nothing(pages):
    client = Client(enforce_csrf_checks=True)
    client.force_login(pages.coordinator.person)

    response = send(client, f"/work-days/{pages.day}/cancel/", reason="Storm")

    assert response.status_code == 403
    assert "This form was too old to be taken" in body(response)
    assert WorkDay.objects.get(id=pages.day).state == "open"


@pytest.mark.parametrize("address", ["/", "/work-days/", "/record-use/", "/groups/", "/my/"])
def test_who_is_not_signed_in_is_asked_to_and_comes_back(db, address):
    response = Client().get(address)

    assert response.status_code == 302
    assert response["Location"] == f"/accounts/login/?next={address}"


def test_a_form_sent_after_the_session_ended_leads_back_to_its_page(pages):
    referer = f"http://testserver/work-days/{pages.day}/"

    response = Client().post(f"/work-days/{pages.day}/open/", {}, headers={"Referer": referer})

    assert response["Location"] == f"/accounts/login/?next=/work-days/{pages.day}/"


def test_signing_in_with_a_password_opens_the_home_and_signing_out_closes_it(pages):
    person = pages.cast.volunteer.person
    person.set_password("a-long-enough-phrase")
    person.save()
    verify(person, person.email)
    client = Client()
    client.get("/accounts/login/")

    signed_in = client.post(
        "/accounts/login/", {"login": person.email, "password": "a-long-enough-phrase"}, follow=True
    )
    signed_out = client.post("/accounts/logout/", follow=True)

    assert "My days" in body(signed_in)
    assert "Sign in" in body(signed_out)
    assert client.get("/").status_code == 302


def test_a_wrong_password_is_told_and_the_address_stays(pages):
    response = Client().post("/accounts/login/", {"login": "maren@tamarack.example", "password": "wrong"})

    assert "do not belong together" in body(response)
    assert 'value="maren@tamarack.example"' in response.content.decode()


@pytest.mark.parametrize(
    ("address", "words"),
    [
        ("/accounts/login/", "A coordinator of your group makes your account"),
        ("/accounts/password/reset/", "a code is sent to it"),
        ("/accounts/signup/", "Nobody makes an account here by themselves"),
    ],
)
def test_the_pages_before_signing_in_speak_in_our_words(db, address, words):
    response = Client().get(address)

    assert response.status_code == 200
    assert words in body(response)


def test_a_former_member_is_told_that_they_are_in_no_group(pages):
    response = pages.cast.former.signed_in().get("/", follow=True)

    assert "You are in no group yet" in body(response)


def coordinators(shown):
    """Return what the coordinator is shown: address -> response."""
    return {address: response for (address, role), response in shown.items() if role == "coordinator"}


def test_no_page_holds_a_script_without_a_nonce_or_any_style_of_its_own(shown):
    for address, response in coordinators(shown).items():
        html = response.content.decode()

        assert "'unsafe-inline'" not in response["Content-Security-Policy"], address
        assert re.findall(r"<script(?![^>]*\bnonce=\"[^\"]+\")[^>]*>", html) == [], address
        assert re.findall(r"<style|\sstyle=|\son[a-z]+=\"|javascript:", html) == [], address


def test_no_page_says_that_something_is_allowed_or_safe(shown):
    for address, response in coordinators(shown).items():
        if "progress" not in address:
            assert re.findall(r"\b(allowed|safe|safely)\b", body(response).lower()) == [], address


CAUTIOUS = [
    "/stock/",
    "/stock/new/",
    "/stock/{lot}/",
    "/mix/products/",
    "/mix/products/new/",
    "/mix/products/{product}/",
    "/mix/",
    "/mix/card/?{mix}",
    "/batches/{batch}/",
    "/record-use/",
    "/sessions/{session}/",
    "/reports/",
    "/reports/{report}/",
    "/yearly-use/",
    "/yearly-use/{active}/{property}/{season}/",
]


CAUTIONS = [
    "The label is the law",
    "reference, not advice",
    "Follow the rules of your state",
    "only by a licensed applicator or under one's direct supervision",
    "mixing and loading ask for more than applying",
]


def test_mixes_products_use_and_reports_show_the_cautions(shown):
    pages = coordinators(shown)

    assert {a: [words for words in CAUTIONS if words not in body(pages[a])] for a in CAUTIOUS} == dict.fromkeys(
        CAUTIOUS, []
    )


def test_a_fault_of_ours_is_told_in_words_and_says_what_became_of_the_form(pages, monkeypatch):
    def fails(here):
        raise RuntimeError("a fault")

    monkeypatch.setattr("stewardship.web.views.homes.homes.lapses", fails)
    client = pages.coordinator.signed_in()
    client.raise_request_exception = False

    response = client.get("/")

    assert response.status_code == 500
    assert "Something went wrong on our side" in body(response)
    assert "was not recorded" in body(response)
