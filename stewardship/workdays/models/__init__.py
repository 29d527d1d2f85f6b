"""Work day, the duties on it, who signed up for them, and who came."""

from stewardship.workdays.models.attendances import AgeClass, Attendance, HowKnown
from stewardship.workdays.models.days import WorkDay
from stewardship.workdays.models.duties import Duty, DutyName, SignUp
from stewardship.workdays.models.feeds import CalendarFeed

__all__ = ["AgeClass", "Attendance", "CalendarFeed", "Duty", "DutyName", "HowKnown", "SignUp", "WorkDay"]
