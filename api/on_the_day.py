"""What is kept of a work day beside the work: briefings, weather, signs, incidents; emergency sheets and practices."""

from api import filtering
from api.records import GroupRecords
from stewardship.workdays.models import (
    Briefing,
    BriefingSignature,
    EmergencySheet,
    Incident,
    IncidentDetails,
    IncidentKind,
    Posting,
    Practice,
    PracticeKind,
    WeatherReading,
)


class OfADay(filtering.Filters):
    """By work day, and whether it was voided."""

    work_day = filtering.Id(field_name="work_day_id")
    voided = filtering.Flag(field_name="voided_at", lookup_expr="isnull", exclude=True)


class PracticeFilters(filtering.Filters):
    """By what it is about, whether the group goes by it, and whether it was taken out of use."""

    what = filtering.Choice(words=PracticeKind.values)
    is_followed = filtering.Flag()
    retired = filtering.Flag(field_name="retired_at", lookup_expr="isnull", exclude=True)


class SheetFilters(filtering.Filters):
    """By property."""

    property = filtering.Id(field_name="property_id")


class SignatureFilters(OfADay):
    """By work day, briefing and member."""

    briefing = filtering.Id(field_name="briefing_id")
    member = filtering.Id(field_name="member_id")


class PostingFilters(OfADay):
    """By property and work day, and whether it stands or is due down before a day."""

    property = filtering.Id(field_name="property_id")
    up = filtering.Flag(field_name="taken_down_at", lookup_expr="isnull")
    due_before = filtering.Day(field_name="due_down_at", lookup_expr="date__lt")


class IncidentFilters(OfADay):
    """By property, work day, kind, and whether nobody has answered it."""

    property = filtering.Id(field_name="property_id")
    what = filtering.Choice(words=IncidentKind.values)
    open = filtering.Flag(field_name="answered_at", lookup_expr="isnull")


class DetailsFilters(filtering.Filters):
    """By incident."""

    incident = filtering.Id(field_name="incident_id")


class Practices(GroupRecords):
    """Published practices, each with its source: least ages, topics of a briefing, numbers to call, times to report."""

    at = "practices"
    model = Practice
    filterset_class = PracticeFilters


class EmergencySheets(GroupRecords):
    """Where an ambulance goes, whom to call, which hospital: one sheet for each property, in every copy of the book."""

    at = "emergency-sheets"
    model = EmergencySheet
    filterset_class = SheetFilters


class Briefings(GroupRecords):
    """What people were told before they began."""

    at = "briefings"
    model = Briefing
    filterset_class = OfADay


class BriefingSignatures(GroupRecords):
    """Who signed that they heard a briefing: each their own line, or on a sheet that the leader enters."""

    at = "briefing-signatures"
    model = BriefingSignature
    filterset_class = SignatureFilters


class WeatherReadings(GroupRecords):
    """What somebody read of the weather on a work day: at the start, when it changed, at the end."""

    at = "weather-readings"
    model = WeatherReading
    filterset_class = OfADay


class Postings(GroupRecords):
    """Signs: put up, due down, taken down."""

    at = "postings"
    model = Posting
    filterset_class = PostingFilters


class Incidents(GroupRecords):
    """What went wrong, who was told, and what came of it."""

    at = "incidents"
    model = Incident
    filterset_class = IncidentFilters


class DetailsOfIncidents(GroupRecords):
    """Who was hurt: the coordinators read it."""

    at = "incident-details"
    model = IncidentDetails
    filterset_class = DetailsFilters
