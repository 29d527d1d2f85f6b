"""Seasons, season reports, their versions and jobs, through REST."""

from datetime import timedelta

import pytest
from django.utils import timezone

from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job
from stewardship.journal.models import Book
from stewardship.journal.verifying import Verification
from stewardship.reports.services.reconciliations import ask_now
from stewardship.treatments.models import Batch
from tests.api.asking import get, patch, post
from tests.cast import sent
from tests.ground import lay_out
from workers.jobs import JOBS

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def ground(coordinator):
    return lay_out(coordinator)


@pytest.fixture
def season(coordinator):
    told = {"name": "2027", "first_on": "2027-01-01", "last_on": "2027-12-31"}
    return post(coordinator, "seasons", told).json()["id"]


@pytest.fixture
def asked(ground, season, reviewer):
    """Ask for the report as the board's reviewer does."""
    ground.line(ground.session(), ground.batch(), "40")
    return post(reviewer, "season-reports", {"property": str(ground.property), "season": season})


def work():
    for job in Job.objects.filter(state="queued"):
        assert jobs.run(job.id, JOBS, at=timezone.now() + timedelta(seconds=1))


def test_a_report_is_asked_for_and_its_job_told(asked, reviewer):
    body = asked.json()

    assert (asked.status_code, body.keys(), body["job"]["state"]) == (202, {"id", "job"}, "queued")
    assert asked["Location"].endswith(f"/season-reports/{body['id']}")
    job = get(reviewer, f"jobs/{body['job']['id']}").json()
    assert (job["state"], job["progress"], job["result"], job["error"]) == ("queued", 0, None, None)


def test_a_version_names_the_head_that_it_rests_on_and_the_book_can_be_proved_by_it(asked, reviewer):
    head, head_hash = Book.objects.values_list("head", "head_hash").get(group_id=reviewer.group_id)
    work()

    version = get(reviewer, f"season-reports/{asked.json()['id']}/versions/latest").json()

    assert (version["head"], version["head_hash"]) == (head, head_hash)
    assert [*Verification(reviewer.group_id, {version["head"]: version["head_hash"]}).findings()] == []


def test_every_answer_that_adds_something_up_says_how_many_entries_wait(asked, ground, coordinator, volunteer):
    volunteer.pushes(*[sent("application", "create", {}) for _ in range(2)])
    lot, batch = ground.lot(), Batch.objects.first().id
    ask_now(coordinator.actor, timezone.now())
    work()

    answers = [
        get(coordinator, at).json()
        for at in (
            "use/summary", "stock", f"lots/{lot}/ledger", f"units/{ground.unit}/area-years",
            f"batches/{batch}/balance", "reconciliations/latest",
        )
    ]  # fmt: skip
    report = get(coordinator, f"season-reports/{asked.json()['id']}/versions/latest").json()

    assert [answer["held"] for answer in [*answers, report["figures"]]] == [2] * 7


def test_a_done_job_leads_to_its_version(asked, reviewer):
    work()

    job = get(reviewer, f"jobs/{asked.json()['job']['id']}").json()
    version = reviewer.client().get(job["result"]).json()

    assert (job["state"], job["progress"], version["number"]) == ("done", 100, 1)
    assert version["report"] == asked.json()["id"]
    assert version["figures"]["applications"] == 1
    assert get(reviewer, f"season-reports/{version['report']}/versions/latest").json() == version
    assert get(reviewer, f"season-reports/{version['report']}").json()["latest"] == 1


def test_asked_again_it_is_the_same_report_and_job(asked, ground, season, coordinator):
    again = post(coordinator, "season-reports", {"property": str(ground.property), "season": season})

    assert (again.status_code, again.json()) == (202, asked.json())


def test_a_request_sent_again_under_its_key_is_answered_again(ground, season, reviewer):
    told, key = {"property": str(ground.property), "season": season}, "0190a5b2-4d3e-7c11-8a57-3f0e6b7c9d21"

    first, again = (post(reviewer, "season-reports", told, Idempotency_Key=key) for _ in range(2))

    assert (again.status_code, again.json(), again["Idempotency-Replayed"]) == (202, first.json(), "true")


@pytest.mark.parametrize("number", ["1", "2", "0", "01", "latest", "newest", "-1", "9999999999"])
def test_a_version_that_does_not_exist_is_not_there(asked, reviewer, number):
    answer = get(reviewer, f"season-reports/{asked.json()['id']}/versions/{number}")

    assert (answer.status_code, answer.json()["code"]) == (404, "target_unavailable")


def test_a_failed_job_says_why(asked, reviewer):
    Job.objects.update(attempts=4)
    jobs.run(asked.json()["job"]["id"], {}, at=timezone.now() + timedelta(seconds=1))

    job = get(reviewer, f"jobs/{asked.json()['job']['id']}").json()

    assert (job["state"], job["error"]["code"], job["result"]) == ("failed", "unknown_job_kind", None)


def test_another_groups_job_and_version_are_not_there(asked, stranger):
    work()

    for path in (f"jobs/{asked.json()['job']['id']}", f"season-reports/{asked.json()['id']}/versions/1"):
        assert get(stranger, path).json()["code"] == "target_unavailable"


def test_reports_are_listed_by_property_and_season(asked, ground, season, coordinator):
    def found(**filters):
        return [each["id"] for each in get(coordinator, "season-reports", **filters).json()["results"]]

    assert found(property=str(ground.property), season=season) == [asked.json()["id"]]
    assert found(property=season) == found(season=str(ground.property)) == []


def test_seasons_that_share_a_day_are_a_conflict(season, coordinator):
    refused = post(coordinator, "seasons", {"name": "x", "first_on": "2027-12-31", "last_on": "2028-03-31"})

    assert (refused.status_code, refused.json()["code"]) == (409, "seasons_overlap")


def test_a_season_is_found_by_a_day_in_it_and_renamed(season, coordinator):
    renamed = patch(coordinator, f"seasons/{season}", {"name": "The year 2027"}, If_Match='"1"')

    def on(day):
        return [each["name"] for each in get(coordinator, "seasons", on=day).json()["results"]]

    assert renamed.status_code == 200
    assert (on("2027-01-01"), on("2027-12-31"), on("2028-01-01")) == (["The year 2027"], ["The year 2027"], [])
