"""When and how often: a tick, which calls a worker for every job that is due by its row.

Any number of ticks at once, or none for a day, is harmless: what is due stands in the database.
"""

from django.utils import timezone

from stewardship.jobs import services as jobs
from workers.celery import app
from workers.jobs import run_job

TICK_S = 2

app.conf.beat_schedule = {
    "tick": {"task": "workers.schedule.tick", "schedule": TICK_S, "options": {"expires": TICK_S}},
}


@app.task(ignore_result=True)
def tick() -> None:
    """Call a worker for each due job."""
    jobs.call_workers(timezone.now(), lambda job_id: run_job.delay(str(job_id)))
