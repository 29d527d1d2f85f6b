"""Papers on the pages: a training of several people, its signature, the roster, one's credits, files of evidence."""

import csv
import io
from hashlib import sha256

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from stewardship.attachments.models import Attachment
from stewardship.credentials.models import Credential, Training
from tests.credentials import enters, kind
from tests.stewardship.web.pages import body, send
from tests.trainings import rule, trains

SCAN = b"%PDF-1.7\n" + b"a scan of a card\n" * 100
HASH = sha256(SCAN).hexdigest()


def told(pages, **changes):
    return {
        "trainees": [str(who.member.id) for who in (pages.cast.volunteer, pages.cast.other_volunteer)],
        "type": str(rule(pages.coordinator)), "on_date": "2027-04-24", "minutes": "90",
        "title": "Basal bark, step by step", "topics": "Labels and protection", "trainer": "",
        "trainer_name": "Orla Winterbourne", "trainer_licence_number": "ROW-118",
        "products": [str(pages.ground.product)], "properties": [str(pages.ground.property)], "label_copies": "yes",
    } | changes  # fmt: skip


def test_a_training_of_two_people_is_one_form_and_two_records(pages):
    client = pages.coordinator.signed_in()

    response = send(client, "/people/trainings/new/", **told(pages))

    assert response["Location"] == "/people/trainings/"
    assert "The training of 2 people is recorded" in body(client.get("/people/trainings/"))
    found = Training.objects.order_by("trainee__display_name")
    assert [training.trainee.display_name for training in found] == ["Ines Carrowby", "Tobias Quill"]
    assert {(t.trainer_name, t.minutes, t.label_copies, str(t.last_on)) for t in found} == {
        ("Orla Winterbourne", 90, True, "2028-04-24")
    }


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"trainees": []}, "Tick everybody who was trained."),
        ({"trainer_name": ""}, "Say who gave the training"),
        ({"on_date": "2027-06-01"}, "still to come"),
        ({"minutes": "0"}, "greater than or equal to 1"),
    ],
)
def test_a_training_that_cannot_be_is_refused_and_what_was_typed_is_still_there(pages, changes, words):
    response = send(pages.coordinator.signed_in(), "/people/trainings/new/", **told(pages, **changes))

    assert response.status_code in (400, 409)
    assert words in body(response)
    assert "Basal bark, step by step" in response.content.decode()
    assert not Training.objects.exists()


def test_without_a_rule_the_page_says_what_is_wanting(pages):
    assert "None is on record yet" in body(pages.coordinator.signed_in().get("/people/trainings/new/"))


def test_who_was_trained_reads_it_and_signs_it(pages):
    training = trains(pages.coordinator, pages.cast.volunteer, rule(pages.coordinator), signed=False)
    client = pages.cast.volunteer.signed_in()
    assert "not signed: it does not count yet" in body(client.get("/my/papers/"))

    response = send(client, f"/trainings/{training.id}/sign/")

    assert response["Location"] == f"/trainings/{training.id}/"
    training.refresh_from_db()
    assert training.signed_by_id == pages.cast.volunteer.member.id
    assert "counts up to Thu 1 Jul 2027" in body(client.get("/my/papers/"))
    assert pages.cast.other_volunteer.signed_in().get(f"/trainings/{training.id}/").status_code == 404


def test_a_coordinator_names_the_sheet_or_is_asked_for_it(pages):
    training = trains(pages.coordinator, pages.cast.volunteer, rule(pages.coordinator), signed=False)
    client = pages.coordinator.signed_in()

    refused = send(client, f"/trainings/{training.id}/sign/", sheet="")
    assert (refused.status_code, "name the signed sheet" in body(refused)) == (409, True)
    send(client, f"/trainings/{training.id}/sign/", sheet="Sheet 12")

    assert "entered from: Sheet 12" in body(client.get(f"/trainings/{training.id}/"))


def test_the_roster_shows_its_gaps_first_and_then_hands_the_table_over(pages):
    trains(pages.coordinator, pages.cast.volunteer, rule(pages.coordinator))
    client, days = pages.coordinator.signed_in(), {"from_date": "2026-01-01", "to_date": "2026-12-31"}

    shown = body(client.get("/people/trainings/roster/", days))
    table = client.get("/people/trainings/roster/", days | {"as": "csv"})

    assert shown.index("address, telephone, birth date, sponsor") < shown.index("Download the table")
    (row,) = csv.DictReader(io.StringIO(table.content.decode("utf-8-sig")))
    assert (row["Name"], row["Address"]) == ("Tobias Quill", "NOT ON RECORD")
    assert "private" in table["Cache-Control"]
    assert client.get("/people/trainings/roster/", {"from_date": "x", "to_date": ""}).status_code == 400


def test_my_credits_show_what_does_not_count_and_what_is_still_wanted(pages):
    """Montana renewal summary, a training provider: 12 credits, at most 6 of them online."""
    montana = kind(
        pages.coordinator, name="Commercial applicator", validity={"kind": "rolling", "years": 4},
        credit_cycle_years=4, credits=[{"wanted": "12", "caps": {"online": "6"}}],
    )  # fmt: skip
    enters(pages.coordinator, pages.cast.volunteer, montana)
    course = {"member": pages.cast.volunteer.member.id, "type": montana, "mode": "online", "amount": "10"}
    pages.coordinator.does("credit", "create", **course, on_date="2027-02-01", title="Woody plants")

    shown = body(pages.cast.volunteer.signed_in().get("/my/papers/"))

    assert "Credits still wanted: 6." in shown
    assert "4 online beyond the most that count" in shown


# -- files ---------------------------------------------------------------------------------------------


@pytest.fixture
def card(pages):
    return Credential.objects.get(id=pages.licensed(pages.cast.volunteer))


def upload(who, card, content=SCAN, **values):
    file = SimpleUploadedFile("../../card.html", content, content_type="text/html")
    return send(who.signed_in(), f"/credentials/{card.id}/file/", file=file, **{"name": "card, both sides"} | values)


def test_a_coordinator_hands_in_a_scan_and_its_holder_opens_it(pages, card):
    assert upload(pages.coordinator, card).status_code == 302

    card.refresh_from_db()
    assert card.evidence == [{"sha256": HASH, "name": "card, both sides"}]
    client = pages.cast.volunteer.signed_in()
    assert f"/attachments/{HASH}/" in client.get(f"/credentials/{card.id}/").content.decode()
    opened = client.get(f"/attachments/{HASH}/")
    assert opened.content == SCAN
    assert (opened["Content-Type"], opened["X-Content-Type-Options"]) == ("application/pdf", "nosniff")
    assert opened["Content-Disposition"].startswith("attachment")
    assert pages.cast.other_volunteer.signed_in().get(f"/attachments/{HASH}/").status_code == 404
    assert pages.cast.stranger.signed_in().get(f"/attachments/{HASH}/").status_code == 404


@pytest.mark.parametrize(
    ("content", "words"), [(b"<html>" * 200, "no PDF and no picture"), (b"", "This file is empty")]
)
def test_a_page_makes_the_same_checks_and_keeps_what_was_typed(pages, card, content, words):
    response = upload(pages.coordinator, card, content)

    assert response.status_code in (400, 409)
    assert words in body(response)
    assert 'value="card, both sides"' in response.content.decode()
    assert not Attachment.objects.exists()


def test_a_file_beyond_all_measure_is_not_even_received_and_the_form_says_so(pages, card, settings):
    settings.ATTACHMENT_MAX_BYTES = 1 << 20

    response = upload(pages.coordinator, card, SCAN + bytes(3 << 20))

    assert response.status_code == 409
    assert "larger than 1 MB" in body(response)
    assert 'value="card, both sides"' in response.content.decode()
    assert "Choose a file" not in body(response)


def test_a_holder_hands_in_files_of_their_own_card_and_nobody_else_does(pages, card):
    files = [{"sha256": HASH, "name": "card"}]
    pages.coordinator.does("credential", "amend", id=card.id, evidence=files, reason="named")
    client = pages.cast.volunteer.signed_in()
    assert "waiting for upload" in body(client.get(f"/credentials/{card.id}/"))

    upload(pages.cast.volunteer, card)
    upload(pages.cast.volunteer, card, SCAN + b".", name="the other side")

    card.refresh_from_db()
    assert [each["name"] for each in card.evidence] == ["card", "the other side"]
    assert "waiting for upload" not in body(client.get(f"/credentials/{card.id}/"))
    assert upload(pages.cast.other_volunteer, card, SCAN + b"..").status_code == 404
    assert Attachment.objects.count() == 2
