"""The workers' Celery app with the tests' kinds of job and keys of its own: ``celery -A`` takes this module."""

import os

from celery import signals

from workers.celery import app

app.conf.broker_transport_options["global_keyprefix"] = os.environ["TEST_KEYS"]


@signals.worker_init.connect
def add_kinds(**_):
    """Add the kinds once Django is set up."""
    from tests.workers.kinds import KINDS
    from workers.jobs import JOBS

    JOBS.update(KINDS)
