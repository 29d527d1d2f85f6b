"""Verbs that end a work day for good."""

from stewardship.closeout import services
from stewardship.closeout.records import records_of_days
from stewardship.journal.fields import Target
from stewardship.sync.verbs.verb import Verb, Verbs
from stewardship.treatments.models import Application, Batch, Container, Leftover, Session
from stewardship.workdays.models import Attendance, Briefing, BriefingSignature, Incident, Posting, WorkDay

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
                (Application, "work_day_id"),
                (Container, "work_day_id"),
                (Leftover, "work_day_id"),
                (Briefing, "work_day_id"),
                (BriefingSignature, "work_day_id"),
                (Posting, "work_day_id"),
                (Incident, "work_day_id"),
            )
        },
        surveys=(records_of_days,),
    ),
}
