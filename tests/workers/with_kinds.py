"""Run a management command in a process of its own, with the tests' kinds of job: ``python -m ... run_jobs``."""

import os
import sys

import django

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stewardship.settings")
    django.setup()

    from django.core.management import call_command

    from tests.workers.kinds import KINDS
    from workers.jobs import JOBS

    JOBS.update(KINDS)
    call_command(*sys.argv[1:])
