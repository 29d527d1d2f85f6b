"""Do the jobs that are due, one after another, without a broker: ``manage.py run_jobs``."""

import logging
import signal
import time
from argparse import ArgumentParser
from collections.abc import Callable
from datetime import datetime
from types import FrameType
from typing import Any

from django.core.management.base import BaseCommand
from django.db import close_old_connections
from django.utils import timezone

from stewardship.accounts import attempts
from stewardship.accounts import letters as invitation_letters
from stewardship.jobs import services as jobs
from stewardship.notices.services import letters, reminders
from stewardship.reports.services import reconciliations
from stewardship.workdays.services import nightly as planning
from workers.jobs import JOBS
from workers.schedule import LOOK_FOR_LETTERS_S, LOOK_S

logger = logging.getLogger(__name__)

NAP_S = 0.1
"""How soon a wait notices that it is to end."""

LOOKS = (
    (LOOK_S, reconciliations.ask_nightly),
    (LOOK_S, reminders.ask_for_reminders),
    (LOOK_S, planning.ask_nightly),
    (LOOK_S, attempts.forget),
    (LOOK_S, invitation_letters.ask_again),
    (LOOK_FOR_LETTERS_S, letters.ask_for_letters),
)
"""How often each is asked what there is to do; beat does the same where there is Redis."""


class Command(BaseCommand):
    """Loops over the due jobs until it is told to end; any number of these may run at once."""

    help = "Do background jobs without Redis. Ctrl-C or SIGTERM ends it after the running job; a second one at once."
    is_ending = False
    next_looks: dict[Callable[[datetime], object], float]

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take how often to look, and whether only once."""
        parser.add_argument("--once", action="store_true", help="do what is due now, then end")
        parser.add_argument("--interval", type=float, default=1.0, help="seconds between looks when nothing is due")

    def handle(self, *, once: bool, interval: float, **options: Any) -> None:
        """Do jobs until told to end."""
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, self._end)
        self.next_looks = {}
        if once:
            self._do_due()
            return
        while not self.is_ending:
            if not self._do_due_whatever_happens():
                self._wait(interval)

    def _end(self, number: int, frame: FrameType | None) -> None:
        """End after the running job; the same signal again ends at once, and the job is done anew by another."""
        self.is_ending = True
        signal.signal(number, signal.SIG_DFL)

    def _do_due(self) -> int:
        """Do the jobs due now; return how many were done here."""
        done = 0
        for job_id in jobs.due(timezone.now()).values_list("id", flat=True)[: jobs.CALLED_AT_ONCE]:
            if self.is_ending:
                break
            done += jobs.run(job_id, JOBS, at=timezone.now())
        return done

    def _look(self) -> None:
        """Ask for what is done by the clock, where a look for that is due."""
        for every_s, ask in LOOKS:
            if time.monotonic() >= self.next_looks.get(ask, 0.0):
                self.next_looks[ask] = time.monotonic() + every_s
                ask(timezone.now())

    def _do_due_whatever_happens(self) -> int:
        try:
            close_old_connections()
            self._look()
            return self._do_due()
        except Exception:  # a database that is away must not end the only worker; it is looked for again
            logger.exception("The jobs could not be looked through; trying again")
            return 0

    def _wait(self, seconds: float) -> None:
        ends = time.monotonic() + seconds
        while not self.is_ending and time.monotonic() < ends:
            time.sleep(min(NAP_S, seconds))
