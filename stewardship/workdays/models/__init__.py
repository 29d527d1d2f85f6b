"""Approved task, work day, the duties on it, who signed up, who came, and what is kept of the day beside the work."""

from stewardship.workdays.models.attendances import AgeClass, Attendance, HowKnown
from stewardship.workdays.models.briefings import Briefing, BriefingSignature
from stewardship.workdays.models.days import HazardKind, WorkDay
from stewardship.workdays.models.duties import Duty, DutyName, SignUp
from stewardship.workdays.models.emergency_sheets import EmergencySheet
from stewardship.workdays.models.feeds import CalendarFeed
from stewardship.workdays.models.incidents import Incident, IncidentDetails, IncidentKind
from stewardship.workdays.models.postings import Posting
from stewardship.workdays.models.practices import Practice, PracticeKind
from stewardship.workdays.models.series import WorkDaySeries
from stewardship.workdays.models.tasks import ApprovedTask
from stewardship.workdays.models.weather import WeatherReading

__all__ = [
    "AgeClass", "ApprovedTask", "Attendance", "Briefing", "BriefingSignature", "CalendarFeed", "Duty", "DutyName",
    "EmergencySheet", "HazardKind", "HowKnown", "Incident", "IncidentDetails", "IncidentKind", "Posting", "Practice",
    "PracticeKind", "SignUp", "WeatherReading", "WorkDay", "WorkDaySeries",
]  # fmt: skip
