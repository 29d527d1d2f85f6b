"""The Celery app: how workers take calls from Redis. What runs stands in ``jobs.py``, when in ``schedule.py``."""

import os
import sys
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stewardship.settings")

from celery import Celery, signals
from django.conf import settings

TIME_LIMIT_S = 600
"""A run that takes longer is stopped. The broker must not deliver its call again before that."""

app = Celery(
    "stewardship", broker=settings.REDIS_URL or None, backend=None, include=["workers.jobs", "workers.schedule"]
)
app.conf.update(
    # A call is taken off the queue only when its run has ended, whatever became of the worker.
    task_acks_late=True,
    task_reject_on_worker_lost=True,
    worker_prefetch_multiplier=1,
    worker_cancel_long_running_tasks_on_connection_loss=True,
    task_time_limit=TIME_LIMIT_S,
    task_soft_time_limit=TIME_LIMIT_S - 60,
    # The state of a job is in its row: nothing is stored in the broker, nothing is retried or delayed by it.
    task_ignore_result=True,
    broker_connection_retry_on_startup=True,
    broker_connection_timeout=1,
    broker_transport_options={
        "visibility_timeout": TIME_LIMIT_S + 300,
        "unacked_restore_interval": 1,
        "unacked_restore_throttle": 1,
        "global_keyprefix": "stewardship:",
        "socket_connect_timeout": 1,
        "socket_timeout": 1,
        "socket_keepalive": True,
        "health_check_interval": 25,
    },
    task_publish_retry=False,
    worker_max_tasks_per_child=200,
    worker_max_memory_per_child=400_000,  # kB
    worker_soft_shutdown_timeout=10,
    worker_hijack_root_logger=False,
    beat_scheduler="celery.beat:Scheduler",  # the schedule is one line of code: nothing to keep in a file
    enable_utc=True,
    timezone="UTC",
)


@signals.celeryd_init.connect
@signals.beat_init.connect
def demand_redis(**_: Any) -> None:
    """End with a sentence where there is no broker, instead of looking for one for ever."""
    if not settings.REDIS_URL:
        sys.exit("Celery needs REDIS_URL. Without Redis, jobs are done by: python3 manage.py run_jobs")
