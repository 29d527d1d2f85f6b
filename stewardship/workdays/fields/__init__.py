"""What may be sent about work days, duties, sign-ups and attendance."""

from stewardship.workdays.fields.attendances import AmendAttendance, CheckOut, NewAttendance
from stewardship.workdays.fields.days import AmendWorkDay, NewWorkDay, StopWorkDay
from stewardship.workdays.fields.duties import AmendDuty, NewDuty, NewSignUp
from stewardship.workdays.fields.feeds import NewCalendarFeed

__all__ = [
    "AmendAttendance",
    "AmendDuty",
    "AmendWorkDay",
    "CheckOut",
    "NewAttendance",
    "NewCalendarFeed",
    "NewDuty",
    "NewSignUp",
    "NewWorkDay",
    "StopWorkDay",
]
