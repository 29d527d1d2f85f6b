"""Reconciliations through REST: asked for, run, read."""

from datetime import timedelta

import pytest
from django.utils import timezone

from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job
from tests.api.asking import get, post
from tests.cast import AT
from tests.ground import lay_out
from workers.jobs import JOBS

pytestmark = pytest.mark.django_db


@pytest.fixture
def gap(coordinator):
    """Let a batch lack 2 fl oz, and return its id."""
    ground = lay_out(coordinator)
    batch = ground.batch()
    ground.line(ground.session(), batch, "62")
    return str(batch)


def run(id):
    assert jobs.run(id, JOBS, at=timezone.now() + timedelta(seconds=1))


def test_what_is_found_is_read_with_the_batch_named(coordinator, gap):
    asked = post(coordinator, "reconciliations", {})
    assert (asked.status_code, asked.json()["state"]) == (202, "queued")

    run(asked.json()["id"])

    told = get(coordinator, "reconciliations/latest").json()
    (finding,) = told["findings"]
    assert (finding["code"], finding["type"], finding["id"]) == ("batch_not_measured", "batch", gap)
    assert (told["job"], told["batches"], told["lines"]) == (asked.json()["id"], 1, 1)
    job = get(coordinator, f"jobs/{asked.json()['id']}").json()
    assert job["result"].endswith("/reconciliations/latest")


def test_a_job_whose_work_is_read_nowhere_has_no_result(coordinator):
    for kind in ("invitation", "letters", "reminders", "extend_series", "fill_places"):
        job = Job.objects.create(
            group_id=coordinator.group_id, kind=kind, key=kind, run_after=AT, made_at=AT, state="done", progress=100,
            finished_at=AT, result={"sent": True},
        )  # fmt: skip

        answer = get(coordinator, f"jobs/{job.id}")

        assert (answer.status_code, answer.json()["result"]) == (200, None), kind


def test_before_the_first_there_is_nothing_to_read(coordinator):
    answer = get(coordinator, "reconciliations/latest")

    assert (answer.status_code, answer.json()["code"]) == (404, "target_unavailable")


def test_asked_twice_it_is_one_job(coordinator, gap):
    assert post(coordinator, "reconciliations", {}).json() == post(coordinator, "reconciliations", {}).json()


def test_a_field_that_does_not_exist_is_refused(coordinator):
    answer = post(coordinator, "reconciliations", {"batch": "all"})

    assert answer.status_code == 400
