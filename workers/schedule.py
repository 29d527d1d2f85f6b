"""When and how often: a tick, which calls a worker for every job that is due by its row.

Any number of ticks at once, or none for a day, is harmless: what is due stands in the database.
"""

from django.utils import timezone

from stewardship.accounts import attempts
from stewardship.accounts import letters as invitation_letters
from stewardship.jobs import services as jobs
from stewardship.notices.services import letters, reminders
from stewardship.reports.services import reconciliations
from stewardship.workdays.services import nightly as planning
from workers.celery import app
from workers.jobs import run_job

TICK_S = 2
LOOK_S = 600
"""How often it is looked whether somewhere a night, or the hour of the reminders, has come."""

LOOK_FOR_LETTERS_S = 20
"""How often it is looked whether somebody is to get a mail."""

app.conf.beat_schedule = {
    "tick": {"task": "workers.schedule.tick", "schedule": TICK_S, "options": {"expires": TICK_S}},
    "nightly": {"task": "workers.schedule.nightly", "schedule": LOOK_S, "options": {"expires": LOOK_S}},
    "reminders": {"task": "workers.schedule.remind", "schedule": LOOK_S, "options": {"expires": LOOK_S}},
    "mail": {
        "task": "workers.schedule.mail",
        "schedule": LOOK_FOR_LETTERS_S,
        "options": {"expires": LOOK_FOR_LETTERS_S},
    },
}


@app.task(ignore_result=True)
def tick() -> None:
    """Call a worker for each due job."""
    jobs.call_workers(timezone.now(), lambda job_id: run_job.delay(str(job_id)))


@app.task(ignore_result=True)
def nightly() -> None:
    """Ask for what is done once a night, wherever that has come; forget attempts that no longer count.

    Letters of invitations that could not be sent are asked for anew.
    """
    reconciliations.ask_nightly(timezone.now())
    planning.ask_nightly(timezone.now())
    attempts.forget(timezone.now())
    invitation_letters.ask_again(timezone.now())


@app.task(ignore_result=True)
def remind() -> None:
    """Ask for reminders, wherever it is the hour for them."""
    reminders.ask_for_reminders(timezone.now())


@app.task(ignore_result=True)
def mail() -> None:
    """Ask for letters, wherever some are due."""
    letters.ask_for_letters(timezone.now())
