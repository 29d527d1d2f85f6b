"""Whether the books balance, on pages: in plain words, with by how much and who wrote what."""

from datetime import timedelta

import pytest

from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job
from stewardship.reports.reconciling import FINDERS
from stewardship.treatments.models import Leftover
from stewardship.web.queries.balances import KINDS
from tests.cast import AT
from tests.ground import fl_oz
from tests.stewardship.web.pages import body
from workers.jobs import JOBS

GAP = "Of the batch of 64 US fluid ounces, 2 US fluid ounces are missing"


@pytest.fixture
def gap(pages):
    """Let a batch lack 2 fl oz, and hold the books against one another."""
    ground = pages.ground
    batch = ground.batch()
    ground.line(ground.session(pages.cast.volunteer), batch, "38", pages.cast.volunteer)
    told = {"volume": fl_oz("24"), "how_known": "measured", "measured_at": "2027-05-01T12:00:00-05:00"}
    pages.coordinator.does("leftover", "create", batch=batch, **told)
    look_again(pages)
    return batch


def look_again(pages):
    client = pages.coordinator.signed_in()
    answer = client.post("/balances/look-again/")
    assert (answer.status_code, answer["Location"]) == (302, "/balances/")
    assert "They are being held against one another now." in body(client.get("/balances/"))
    assert jobs.run(Job.objects.get(state="queued").id, JOBS, at=AT + timedelta(minutes=1))


def page(pages, at="/balances/"):
    return body(pages.coordinator.signed_in().get(at))


def test_a_batch_that_does_not_balance_stands_on_the_coordinators_home_with_by_how_much(pages, gap):
    words = page(pages, "/")

    assert f"Sat 1 May 2027: {GAP}" in words
    assert f'href="/batches/{gap}/"' in pages.coordinator.signed_in().get("/").content.decode()


def test_before_the_first_look_the_home_says_so(pages):
    assert "The books have not been held against one another yet." in page(pages, "/")


def test_the_page_names_what_stands_behind_and_who_wrote_it(pages, gap):
    words = page(pages)

    assert "Batches that do not balance" in words
    assert GAP in words
    assert "38 fl oz applied, written by Tobias Quill" in words
    assert "24 fl oz measured, written by Maren Oduya" in words
    assert "(more has been recorded since)" not in words


def test_books_that_balance_say_so_and_an_older_look_says_that_more_was_recorded(pages):
    look_again(pages)
    assert "Everything balances." in page(pages)

    pages.ground.batch()

    assert "(more has been recorded since)" in page(pages)


def test_an_unknown_container_stands_beside_the_batch_that_lacks_as_much(pages):
    ground, coordinator = pages.ground, pages.coordinator
    ground.line(ground.session(), ground.batch(), "44")
    told = {"volume": fl_oz("20"), "how_known": "estimated", "measured_at": "2027-05-01T12:00:00-05:00"}
    coordinator.does("leftover", "create", property=ground.property, **told)
    look_again(pages)

    words = page(pages)

    assert (
        f"/leftovers/{Leftover.objects.get().id}/tag/"
        in pages.coordinator.signed_in().get("/balances/").content.decode()
    )
    assert "20 fl oz, found on Sat 1 May 2027" in words
    assert "That they stand here says nothing about what is in it: only evidence does." in words


def test_lines_that_may_be_one_lead_to_their_sessions(pages):
    ground, batch = pages.ground, pages.ground.batch()
    session = ground.session()
    ground.line(session, batch, "32")
    ground.line(session, batch, "32", pages.cast.volunteer)
    look_again(pages)

    assert "Lines that may be the same work, entered twice" in page(pages)
    links = pages.coordinator.signed_in().get("/balances/").content.decode()
    assert links.count(f'href="/sessions/{session}/"') == 3  # the finding and its two lines


@pytest.mark.parametrize("who", ["volunteer", "reviewer"])
def test_nobody_else_looks_again(pages, who):
    client = getattr(pages.cast, who).signed_in()

    assert client.post("/balances/look-again/").status_code == 404
    assert client.get("/balances/").status_code == 404


def test_every_finding_has_a_heading():
    assert len(KINDS) == len(FINDERS) + 2  # the first finder tells three kinds
