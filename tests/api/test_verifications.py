"""Verifications of the book through REST: asked for, run, read."""

from datetime import timedelta

import pytest
from django.utils import timezone

from stewardship.jobs import services as jobs
from stewardship.journal.models import Book
from stewardship.places.models import Property
from stewardship.sync import proving
from tests.api.asking import get, post
from workers.jobs import JOBS

pytestmark = pytest.mark.django_db


@pytest.fixture
def fen(coordinator):
    return coordinator.does("property", "create", name="Fen Edge").record


def verified(someone, body=None):
    """Ask for it, let the job do it, and return what is read then."""
    asked = post(someone, "verifications", body or {})
    assert asked.status_code == 202
    assert jobs.run(asked.json()["id"], JOBS, at=timezone.now() + timedelta(seconds=1))
    job = get(someone, f"jobs/{asked.json()['id']}").json()
    assert job["result"].endswith("/verifications/latest")
    told = get(someone, "verifications/latest").json()
    assert told["job"] == asked.json()["id"]
    return told


def test_a_reviewer_has_the_book_proved_and_reads_its_head(cast, fen):
    told = verified(cast.reviewer)

    book = Book.objects.get(group_id=cast.group.id)
    assert (told["findings"], told["more_findings"]) == ([], 0)
    assert (told["head"], told["head_hash"], told["revisions"]) == (book.head, book.head_hash, book.head)


def test_what_does_not_hold_is_told_in_words(cast, fen, tampering):
    Property.objects.filter(id=fen.id).update(name="Elsewhere")

    (finding,) = verified(cast.coordinator)["findings"]

    assert finding == {
        "code": "record_differs", "detail": f"property {fen.id} says something else than its newest revision: name.",
    }  # fmt: skip


def test_a_head_that_somebody_kept_is_compared(cast, fen):
    book = Book.objects.get(group_id=cast.group.id)

    right = verified(cast.reviewer, {"head": book.head, "head_hash": book.head_hash})
    wrong = verified(cast.reviewer, {"head": book.head, "head_hash": "0" * 64})

    assert (right["heads_compared"], right["findings"]) == (1, [])
    assert [each["code"] for each in wrong["findings"]] == ["head_differs"]


def test_of_many_findings_some_are_told_and_the_others_counted(cast, fen, tampering, monkeypatch):
    monkeypatch.setattr(proving, "MOST_TOLD", 1)
    other = cast.coordinator.does("property", "create", name="Heron Bend").record
    Property.objects.filter(id__in=[fen.id, other.id]).update(name="Elsewhere")

    told = verified(cast.coordinator)

    assert (len(told["findings"]), told["more_findings"]) == (1, 1)


def test_asked_for_twice_before_the_book_changed_it_is_one_job(cast, fen):
    first, second = (post(cast.reviewer, "verifications", {}).json()["id"] for _ in range(2))
    cast.coordinator.does("property", "amend", id=fen.id, note="wet")

    assert first == second != post(cast.reviewer, "verifications", {}).json()["id"]


def test_before_the_first_there_is_nothing_to_read(cast):
    assert get(cast.coordinator, "verifications/latest").status_code == 404


@pytest.mark.parametrize("body", [{"head": 1}, {"head_hash": "0" * 64}, {"head": 1, "head_hash": "x"}, {"all": True}])
def test_what_is_no_head_is_refused(cast, body):
    assert post(cast.coordinator, "verifications", body).status_code == 400
