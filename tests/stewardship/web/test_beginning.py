"""The first run: a founded group comes to its first record with few answers; steps are skipped and taken up again."""

import pytest

from stewardship.accounts.models import Group, Invitation, Member, Person
from stewardship.credentials.models import Credential
from stewardship.jobs.models import Job
from stewardship.journal.ids import new_id
from stewardship.places.models import LandPermission, Property, Unit
from stewardship.treatments.models import Application, Batch, Session
from tests.stewardship.web.filling import Person as Browser
from tests.stewardship.web.pages import body
from workers.founding import add_reference, found

MOST_ANSWERS = 25


@pytest.fixture
def founder(db, client, now):
    """Found a group as ``start --empty`` does, with its reference rows, and sign its founder in."""
    environment = {
        "GROUP_NAME": "Alder Fork Stewards",
        "GROUP_TIME_ZONE": "America/New_York",
        "FIRST_COORDINATOR_EMAIL": "ottilie@alder.example",
        "FIRST_COORDINATOR_PASSWORD": "seven-crows-on-a-fence",
    }
    found(environment, now)
    add_reference(now)
    client.force_login(Person.objects.get(email="ottilie@alder.example"))
    return client


@pytest.fixture
def now():
    from django.utils import timezone

    return timezone.now()


def to_the_first_record(person):
    """Answer every step, as somebody would who has licence and permission in hand."""
    person.fills("state", state="US-IL")
    person.fills("time_zone")
    person.fills("name", name="Kettle Fen", address="County road 9, gate by the mill")
    person.fills("name", name="North edge")
    person.fills("given_by", given_by="Marsh Farm", given_on="2026-01-05", herbicide="yes")
    person.fills("name_1", own="Ottilie Marsh", name_1="Bram Teasel", name_2="Juno Sedge")
    person.fills("number", number="IL-204", issued_on="2026-01-02", expires_on="2028-12-31")
    ester = person.chooses("product", "ester")
    person.fills("make", make="64", product=ester, strength="20", carrier="oil")
    person.fills("poured_0")
    species = person.page.context["form"].lines[0].fields["species"].choices[1][0]
    line = {"line0__species": species, "line0__method": "basal_bark", "line0__amount": "1"}
    person.fills("batch", **line, line0__how_known="measured")


def test_it_leads_to_the_first_recorded_ounce_with_at_most_25_answers(founder):
    person = Browser(founder, "/")

    to_the_first_record(person)

    line = Application.objects.get()
    assert (line.mix_value, line.mix_unit) == ("1", "fl_oz")
    assert len(person.answers) <= MOST_ANSWERS, person.answers
    assert len(person.answers) == 21, person.answers
    assert person.at == "/begin/"
    assert "The first ounce is on record" in body(person.page)


def test_what_was_answered_is_what_is_on_record(founder):
    to_the_first_record(Browser(founder, "/"))

    group, founder_ = Group.objects.get(), Member.objects.get(role="coordinator")
    assert (group.jurisdiction, group.time_zone, group.volume_unit) == ("US-IL", "America/Chicago", "fl_oz")
    assert group.wants_permissions
    assert founder_.display_name == "Ottilie Marsh"
    assert Unit.objects.get(property=Property.objects.get(name="Kettle Fen")).name == "North edge"
    assert LandPermission.objects.get().herbicide
    assert Credential.objects.get().holder_id == founder_.id
    marks = {mark["code"] for each in (*Session.objects.all(), *Application.objects.all()) for mark in each.marks}
    assert marks.isdisjoint({"credential_missing", "permission_missing"})


def test_whose_address_is_written_gets_a_letter_and_stays_the_same_member(founder):
    person = Browser(founder, "/begin/people/")
    unnamed = founder.post(
        "/begin/people/", {"mid": new_id(), "own": "Ottilie", "name_1": "Bram", "email_2": "j@b.example"}
    )

    person.fills("name_1", own="Ottilie Marsh", name_1="Bram Teasel", email_1="Bram@alder.example", name_2="Juno Sedge")

    assert "Whose address is it?" in body(unnamed)
    invitation = Invitation.objects.get()
    assert (invitation.email, invitation.member.display_name) == ("bram@alder.example", "Bram Teasel")
    assert Job.objects.filter(kind="invitation").count() == 1
    assert set(Member.objects.values_list("display_name", flat=True)) == {"Ottilie Marsh", "Bram Teasel", "Juno Sedge"}


def test_an_address_that_was_invited_already_is_refused_and_nobody_is_added(founder):
    twice = {"name_1": "Bram", "email_1": "b@alder.example", "name_2": "Juno", "email_2": "b@alder.example"}
    refused = founder.post("/begin/people/", {"mid": new_id(), "own": "Ottilie", **twice})

    assert refused.status_code == 409
    assert "This address was invited already" in body(refused)
    assert Member.objects.count() == 1


def test_states_are_offered_by_name_and_whole_countries_last(founder):
    form = founder.get("/begin/state/").context["form"]
    offered = [code for code, _ in form.fields["state"].choices][1:-1]

    assert offered.index("US-CA") < offered.index("AU-NSW") < offered.index("US-NY") < offered.index("US")


def test_every_step_may_be_skipped_and_taken_up_again(founder):
    person = Browser(founder, "/")
    while person.at != "/begin/":
        person.skips()
    assert person.at == "/begin/"
    assert "skipped and can be taken up at any time" in body(person.page)

    person.opens("/begin/property/")
    person.fills("name", name="Kettle Fen")

    assert Property.objects.get().name == "Kettle Fen"
    assert "Here: Kettle Fen." in body(person.page)
    assert person.at == "/begin/unit/"
    assert "First property done" in body(person.page)


def test_somebody_who_left_goes_on_where_they_were(founder):
    person = Browser(founder, "/")
    person.fills("state", state="US-WA")
    person.fills("time_zone")
    person.fills("name", name="Kettle Fen")

    person.opens("/")
    assert "Go on with the first steps" in body(person.page)
    person.opens("/begin/")

    assert person.at == "/begin/unit/"
    assert "Property" not in [each.step.name for each in person.page.context["steps"] if not each.done]


def test_without_a_licence_the_first_use_is_recorded_and_marked(founder):
    person = Browser(founder, "/")
    person.fills("state", state="US-IL")
    person.fills("time_zone")
    person.fills("name", name="Kettle Fen")
    person.fills("name", name="North edge")
    for _ in range(3):
        assert person.at in ("/begin/permission/", "/begin/people/", "/begin/licence/")
        person.skips()
    person.fills("make", make="64", product=person.chooses("product", "ester"), strength="20", carrier="oil")
    person.fills("poured_0")

    assert "credential_missing" in {mark["code"] for mark in Batch.objects.get().marks}


@pytest.mark.parametrize(
    ("told", "zone", "unit"),
    [
        ("US-OH", "America/New_York", "fl_oz"),
        ("us-or", "America/Los_Angeles", "fl_oz"),
        ("CA-ON", "America/Toronto", "ml"),
    ],
)
def test_another_state_is_written_by_its_code_and_proposes_its_clock_and_units(founder, told, zone, unit):
    person = Browser(founder, "/")

    person.fills("state", state="another", other=told)

    group = Group.objects.get()
    assert (group.jurisdiction, group.time_zone, group.volume_unit) == (told.upper(), zone, unit)
    assert person.at == "/begin/clock/"


@pytest.mark.parametrize("told", ["", "Ohio"])
def test_what_is_no_code_of_a_state_is_refused_in_words_and_nothing_is_changed(founder, told):
    response = founder.post(
        "/begin/state/", {"mid": "01a22406-612a-78b4-84f6-90935582fe4b", "state": "another", "other": told}
    )

    assert response.status_code == 400
    assert "US-OH" in body(response) or "ISO 3166" in body(response)
    assert Group.objects.get().jurisdiction == ""


def test_a_unit_wants_a_property_first(founder):
    assert founder.get("/begin/unit/")["Location"] == "/begin/property/"


def test_the_first_use_says_what_it_wants_first(founder):
    assert "Mix one first" in body(founder.get("/begin/use/"))


def test_a_step_that_is_none_does_not_exist(founder):
    assert founder.get("/begin/colour/").status_code == 404
    assert founder.post("/begin/colour/skip/").status_code == 404


def test_only_coordinators_set_a_group_up(pages):
    for someone in (pages.cast.volunteer, pages.cast.reviewer):
        assert someone.signed_in().get("/begin/").status_code == 404


def test_a_group_at_work_is_not_led_to_the_first_steps(pages):
    assert pages.coordinator.signed_in().get("/").status_code == 200
