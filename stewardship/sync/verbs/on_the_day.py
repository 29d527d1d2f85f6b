"""Verbs of what is kept of a day beside the work: briefings, weather, signs, incidents, emergency sheets, practices."""

from stewardship.catalog.services import reinstating, retiring
from stewardship.journal.fields import Target
from stewardship.sync.verbs.verb import Ahead, Verb, Verbs, enter_and_amend
from stewardship.workdays import fields
from stewardship.workdays.models import (
    Briefing,
    BriefingSignature,
    Duty,
    EmergencySheet,
    Incident,
    IncidentDetails,
    Posting,
    Practice,
    SignUp,
    WeatherReading,
    WorkDay,
)
from stewardship.workdays.services import briefings, emergency_sheets, incidents, postings, practices, weather

RECORD, LEAD = "record_work", "manage_work_days"
DAY = {"work_day_id": WorkDay}
LEADERS = ((SignUp, "work_day_id"), (Duty, "work_day_id"))
INCIDENTS = (Incident, "work_day_id")

VERBS: Verbs = {
    **enter_and_amend(
        Practice,
        "manage_catalog",
        (fields.NewPractice, practices.add_practice),
        (fields.AmendPractice, practices.amend_practice),
    ),
    ("practice", "retire"): Verb(Practice, Target, retiring(Practice), "manage_catalog"),
    ("practice", "reinstate"): Verb(Practice, Target, reinstating(Practice), "manage_catalog"),
    **enter_and_amend(
        EmergencySheet,
        "manage_places",
        (fields.NewEmergencySheet, emergency_sheets.add_sheet),
        (fields.AmendEmergencySheet, emergency_sheets.amend_sheet),
    ),
    ("briefing", "create"): Verb(Briefing, fields.NewBriefing, briefings.hold_briefing, RECORD),
    ("briefing", "amend"): Verb(
        Briefing, fields.AmendBriefing, briefings.amend_briefing, RECORD, own=True, reason=True, behind=DAY
    ),
    ("briefing", "void"): Verb(Briefing, Target, briefings.void_briefing, RECORD, own=True, reason=True, behind=DAY),
    ("briefing_signature", "create"): Verb(
        BriefingSignature,
        fields.NewBriefingSignature,
        briefings.sign_briefing,
        RECORD,
        ahead={"briefing": Ahead(Briefing, "id", "work_day_id", WorkDay)},
        lists={"briefing": (BriefingSignature, "briefing_id")},
    ),
    ("briefing_signature", "void"): Verb(
        BriefingSignature, Target, briefings.void_signature, RECORD, own=True, reason=True, behind=DAY
    ),
    ("weather_reading", "create"): Verb(
        WeatherReading, fields.NewWeatherReading, weather.read_weather, RECORD, lists={"work_day": LEADERS}
    ),
    ("weather_reading", "go_on"): Verb(
        WeatherReading, fields.GoOn, weather.go_on, RECORD, behind=DAY, lists={".work_day_id": LEADERS}
    ),
    ("weather_reading", "void"): Verb(
        WeatherReading, Target, weather.void_reading, RECORD, own=True, reason=True, behind=DAY
    ),
    ("posting", "create"): Verb(Posting, fields.NewPosting, postings.put_up, RECORD),
    ("posting", "amend"): Verb(
        Posting, fields.AmendPosting, postings.amend_posting, RECORD, own=True, reason=True, behind=DAY
    ),
    ("posting", "take_down"): Verb(Posting, fields.TakeDown, postings.take_down, RECORD, behind=DAY),
    ("posting", "void"): Verb(Posting, Target, postings.void_posting, RECORD, own=True, reason=True, behind=DAY),
    ("incident", "create"): Verb(Incident, fields.NewIncident, incidents.report_incident, RECORD),
    ("incident", "amend"): Verb(
        Incident, fields.AmendIncident, incidents.amend_incident, RECORD, own=True, reason=True
    ),
    ("incident", "notify"): Verb(Incident, fields.NotifyOfIncident, incidents.notify, RECORD),
    ("incident", "answer"): Verb(Incident, fields.AnswerIncident, incidents.answer_incident, LEAD),
    ("incident", "reopen"): Verb(Incident, Target, incidents.reopen_incident, LEAD, reason=True),
    ("incident", "void"): Verb(Incident, Target, incidents.void_incident, LEAD, reason=True),
    ("incident_details", "create"): Verb(IncidentDetails, fields.NewIncidentDetails, incidents.add_details, RECORD),
    ("incident_details", "amend"): Verb(
        IncidentDetails, fields.AmendIncidentDetails, incidents.amend_details, LEAD, reason=True
    ),
    ("work_day", "answer"): Verb(
        WorkDay, fields.AnswerForDay, incidents.answer_question, RECORD, lists={"id": (INCIDENTS, *LEADERS)}
    ),
}
