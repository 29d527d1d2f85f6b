"""Verbs that end a work day for good."""

from stewardship.closeout import services
from stewardship.journal.fields import Target
from stewardship.sync.verbs.verb import Verb, Verbs
from stewardship.treatments.models import Batch, Container, Session
from stewardship.workdays.models import Attendance, WorkDay

VERBS: Verbs = {
    ("work_day", "close"): Verb(
        WorkDay,
        Target,
        services.close_work_day,
        "manage_work_days",
        lists={
            "id": (
                (Attendance, "work_day_id"),
                (Batch, "work_day_id"),
                (Session, "work_day_id"),
                (Container, "work_day_id"),
            )
        },
    ),
}
