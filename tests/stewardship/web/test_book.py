"""The page that says whether the record book is whole, and that of a member from whom what is personal is erased."""

from datetime import timedelta

import pytest

from stewardship.accounts.models import Member
from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job
from stewardship.journal.models import Book
from stewardship.places.models import Property
from tests.cast import AT
from tests.stewardship.web.pages import body, send
from workers.jobs import JOBS

pytestmark = pytest.mark.django_db


@pytest.fixture
def board(cast):
    return cast.reviewer.signed_in()


def reads(client, head=""):
    """Have the book read, and return the page that tells what was found."""
    asked = client.post("/book/verify/", {"head": head}, follow=True)
    assert "The book is being read now." in body(asked)
    soon = AT + timedelta(minutes=Job.objects.count())
    assert jobs.run(Job.objects.get(state="queued", kind="verify_book").id, JOBS, at=soon)
    return body(client.get("/book/"))


def test_a_reviewer_has_the_book_read_and_finds_the_head_to_keep(cast, board):
    book = Book.objects.get(group_id=cast.group.id)

    words = reads(board)

    assert "Everything holds. No kept head was compared" in words
    assert f"{book.head}:{book.head_hash}" in words


def test_a_kept_head_is_held_against_the_book(cast, board):
    book = Book.objects.get(group_id=cast.group.id)

    right = reads(board, f" {book.head}:{book.head_hash.upper()} ")
    wrong = reads(board, f"{book.head}:{'0' * 64}")

    assert "nothing up to there was changed since you noted it" in right
    assert f"Number {book.head} has another hash than the one that is remembered." in wrong


def test_what_does_not_hold_is_told_with_what_to_do(cast, board, tampering):
    fen = cast.coordinator.does("property", "create", name="Fen Edge").record
    Property.objects.filter(id=fen.id).update(name="Elsewhere")

    words = reads(board)

    assert f"property {fen.id} says something else than its newest revision: name." in words
    assert "Tell whoever runs the service" in words


def test_what_is_no_head_is_refused_and_stays_in_the_form(board):
    response = board.post("/book/verify/", {"head": "17"})

    assert response.status_code == 400
    assert "This is no head." in body(response)
    assert 'value="17"' in response.content.decode()
    assert not Job.objects.filter(kind="verify_book").exists()


def test_the_reports_lead_to_it_for_who_may(cast):
    for someone, leads in ((cast.reviewer, True), (cast.coordinator, True), (cast.volunteer, False)):
        page = someone.signed_in().get("/reports/").content.decode()

        assert ('href="/book/"' in page) is leads


# -- erasing what is personal -----------------------------------------------------------------------


def test_what_erasing_does_is_told_before_it_is_done_and_it_cannot_be_undone(cast):
    lead, josie = cast.coordinator.signed_in(), cast.former.member
    before = body(lead.get(f"/people/{josie.id}/"))

    refused = send(lead, f"/people/{josie.id}/erase/", reason="")
    send(lead, f"/people/{josie.id}/erase/", reason="asked for by letter")
    after = body(lead.get(f"/people/{josie.id}/"))

    assert "This cannot be undone." in before
    assert "What was done and used stays" in before
    assert refused.status_code == 400
    assert Member.objects.get(id=josie.id).display_name == "(erased)"
    assert "what is personal was erased on Sat 1 May 2027" in after
    assert "Take back into the group" not in after


def test_who_still_belongs_to_the_group_is_not_offered_for_it_and_refused(cast):
    lead, tobias = cast.coordinator.signed_in(), cast.volunteer.member

    refused = send(lead, f"/people/{tobias.id}/erase/", reason="asked for")

    assert "Erase what is personal" not in body(lead.get(f"/people/{tobias.id}/"))
    assert refused.status_code == 409
    assert "End the membership first" in body(refused)
