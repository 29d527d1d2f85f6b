"""Photos of a tag and of a sheet on the pages: added by who works in the field, seen by the whole group."""

from hashlib import sha256

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from tests.stewardship.web.pages import body, send

A_PNG = b"\x89PNG\r\n\x1a\n" + b"a picture of a tag\n" * 60
HASH = sha256(A_PNG).hexdigest()

pytestmark = pytest.mark.django_db(transaction=True)


def picture(content=A_PNG):
    return SimpleUploadedFile("tag.png", content, "image/png")


@pytest.fixture(params=["batches", "sessions"])
def page(request, pages):
    """Give the address of what a picture is of."""
    made = {"batches": pages.ground.batch, "sessions": pages.ground.session}
    return f"/{request.param}/{made[request.param]()}/"


def test_a_volunteer_adds_a_photo_and_the_board_opens_it(pages, page):
    client, board = pages.cast.volunteer.signed_in(), pages.cast.reviewer.signed_in()
    assert "would stand here" in body(client.get(page))

    done = send(client, page + "photo/", file=picture(), name="tag on the sprayer")

    assert done["Location"] == page
    assert "The photo is kept, for the whole group." in body(client.get(page))
    shown = board.get(page)
    assert "tag on the sprayer" in body(shown)
    assert "Keep the photo" not in body(shown)
    assert board.get(f"/attachments/{HASH}/").getvalue() == A_PNG


def test_what_is_no_picture_is_refused_and_the_page_says_why(pages, page):
    client = pages.cast.volunteer.signed_in()

    refused = send(client, page + "photo/", file=picture(b"a text that calls itself a picture"), name="tag")
    nameless = send(client, page + "photo/", file=picture(), name=" ")

    assert (refused.status_code, nameless.status_code) == (409, 400)
    assert "This is no PDF and no picture" in body(refused)
    assert "would stand here" in body(client.get(page))


def test_a_photo_that_did_not_arrive_yet_waits_for_its_upload(pages):
    batch = pages.ground.batch()
    pages.coordinator.does("batch", "show", id=batch, photos=[{"sha256": HASH, "name": "tag on the sprayer"}])

    assert "tag on the sprayer waiting for upload" in body(pages.coordinator.signed_in().get(f"/batches/{batch}/"))


def test_a_page_that_was_open_when_its_batch_was_voided_says_why_nothing_is_added(pages):
    batch, client = pages.ground.batch(), pages.cast.volunteer.signed_in()
    pages.coordinator.does("batch", "void", id=batch, reason="never mixed")

    refused = send(client, f"/batches/{batch}/photo/", file=picture(), name="tag")

    assert refused.status_code == 409
    assert "This record was voided." in body(refused)
