"""What may be sent about approved tasks, work days, duties, sign-ups, attendance, and what is kept of a day beside."""

from stewardship.workdays.fields.attendances import Admit, AmendAttendance, CheckOut, NewAttendance, Settle
from stewardship.workdays.fields.briefings import AmendBriefing, NewBriefing, NewBriefingSignature
from stewardship.workdays.fields.days import (
    AmendWorkDay,
    AnswerForDay,
    CancelWorkDay,
    Hazard,
    NewWorkDay,
    PostponeWorkDay,
    StopWorkDay,
)
from stewardship.workdays.fields.duties import AmendDuty, NewDuty, NewSignUp
from stewardship.workdays.fields.emergency_sheets import AmendEmergencySheet, NewEmergencySheet
from stewardship.workdays.fields.feeds import NewCalendarFeed
from stewardship.workdays.fields.incidents import (
    AmendIncident,
    AmendIncidentDetails,
    AnswerIncident,
    NewIncident,
    NewIncidentDetails,
    NotifyOfIncident,
)
from stewardship.workdays.fields.postings import AmendPosting, NewPosting, TakeDown
from stewardship.workdays.fields.practices import AmendPractice, NewPractice
from stewardship.workdays.fields.series import AmendWorkDaySeries, EndWorkDaySeries, NewWorkDaySeries
from stewardship.workdays.fields.tasks import AmendApprovedTask, NewApprovedTask
from stewardship.workdays.fields.weather import GoOn, NewWeatherReading

__all__ = [
    "Admit", "AmendApprovedTask", "AmendAttendance", "AmendBriefing", "AmendDuty", "AmendEmergencySheet",
    "AmendIncident", "AmendIncidentDetails", "AmendPosting", "AmendPractice", "AmendWorkDay", "AmendWorkDaySeries",
    "AnswerForDay", "AnswerIncident", "CancelWorkDay", "CheckOut", "EndWorkDaySeries", "GoOn", "Hazard",
    "NewApprovedTask", "NewAttendance", "NewBriefing", "NewBriefingSignature", "NewCalendarFeed", "NewDuty",
    "NewEmergencySheet", "NewIncident", "NewIncidentDetails", "NewPosting", "NewPractice", "NewSignUp",
    "NewWeatherReading", "NewWorkDay", "NewWorkDaySeries", "NotifyOfIncident", "PostponeWorkDay", "Settle",
    "StopWorkDay", "TakeDown",
]  # fmt: skip
