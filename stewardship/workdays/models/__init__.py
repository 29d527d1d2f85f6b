"""Approved task, work day, the duties on it, who signed up for them, and who came."""

from stewardship.workdays.models.attendances import AgeClass, Attendance, HowKnown
from stewardship.workdays.models.days import HazardKind, WorkDay
from stewardship.workdays.models.duties import Duty, DutyName, SignUp
from stewardship.workdays.models.feeds import CalendarFeed
from stewardship.workdays.models.series import WorkDaySeries
from stewardship.workdays.models.tasks import ApprovedTask

__all__ = [
    "AgeClass", "ApprovedTask", "Attendance", "CalendarFeed", "Duty", "DutyName", "HazardKind", "HowKnown", "SignUp",
    "WorkDay", "WorkDaySeries",
]  # fmt: skip
