"""Work day, the duties on it, who signed up for them, and who came."""

from stewardship.workdays.models.attendances import AgeClass, Attendance, HowKnown
from stewardship.workdays.models.days import WorkDay
from stewardship.workdays.models.duties import Duty, DutyName, SignUp

__all__ = ["AgeClass", "Attendance", "Duty", "DutyName", "HowKnown", "SignUp", "WorkDay"]
