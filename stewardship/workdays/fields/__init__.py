"""What may be sent about work days, duties, sign-ups and attendance."""

from stewardship.workdays.fields.attendances import AmendAttendance, CheckOut, NewAttendance
from stewardship.workdays.fields.days import (
    AmendWorkDay,
    CancelWorkDay,
    Hazard,
    NewWorkDay,
    PostponeWorkDay,
    StopWorkDay,
)
from stewardship.workdays.fields.duties import AmendDuty, NewDuty, NewSignUp
from stewardship.workdays.fields.feeds import NewCalendarFeed
from stewardship.workdays.fields.series import AmendWorkDaySeries, EndWorkDaySeries, NewWorkDaySeries
from stewardship.workdays.fields.tasks import AmendApprovedTask, NewApprovedTask

__all__ = [
    "AmendApprovedTask",
    "AmendAttendance",
    "AmendDuty",
    "AmendWorkDay",
    "AmendWorkDaySeries",
    "CancelWorkDay",
    "CheckOut",
    "EndWorkDaySeries",
    "Hazard",
    "NewApprovedTask",
    "NewAttendance",
    "NewCalendarFeed",
    "NewDuty",
    "NewSignUp",
    "NewWorkDay",
    "NewWorkDaySeries",
    "PostponeWorkDay",
    "StopWorkDay",
]
