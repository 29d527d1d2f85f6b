"""What runs in the background: one table, and the task that runs a job from it."""

from django.utils import timezone

from stewardship.accounts import letters as invitation_letters
from stewardship.accounts.services import erasing, invitations
from stewardship.closeout.reminders import remind_group
from stewardship.jobs import services as jobs
from stewardship.notices.services import letters, reminders
from stewardship.reports.services import reconciliations, reports
from stewardship.sync import personal, proving
from stewardship.workdays.services import nightly
from workers.celery import app

JOBS: dict[str, jobs.Kind] = {
    letters.KIND: letters.send_letters,
    nightly.EXTEND: nightly.extend_one_series,
    nightly.FILL: nightly.fill_places_of_day,
    invitations.KIND: invitation_letters.send_invitation,
    erasing.KIND: personal.forget_erased,
    proving.KIND: proving.verify_group,
    "reconcile": reconciliations.reconcile_group,
    reminders.KIND: remind_group,
    "season_report": reports.compile_season_report,
}
"""Kind -> ``function(job, at)``."""


@app.task(acks_late=True, reject_on_worker_lost=True, ignore_result=True)
def run_job(job_id: str) -> None:
    """Run one job row if it is free or its lease has lapsed; safe to deliver twice."""
    jobs.run(job_id, JOBS, at=timezone.now())
