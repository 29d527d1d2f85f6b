"""Seasons, season reports and their versions."""

import re
from datetime import date
from typing import Any

from django.db.models import QuerySet
from django.urls import URLPattern, path
from rest_framework.response import Response

from api import answers, filtering
from api.filtering import check_parameters
from api.jobs import STATE
from api.operations import ID, INTEGER, MOMENT, TEXT, Does, an_object
from api.permissions import GroupEndpoint, read_id
from api.records import GroupRecords
from stewardship.errors import Unavailable
from stewardship.jobs.models import Job
from stewardship.reports.models import ReportVersion, Season, SeasonReport

_NUMBER = re.compile(r"[1-9][0-9]{0,8}")
_ASKED = an_object({"id": ID, "job": an_object({"id": ID, "state": STATE})})
_VERSION = an_object(
    {
        "id": ID, "rev": INTEGER, "entered_by": ID, "entered_at": MOMENT, "report": ID, "number": INTEGER,
        "figures": {"type": "object"}, "figures_hash": TEXT, "as_of": MOMENT, "head": INTEGER, "head_hash": TEXT,
    }
)  # fmt: skip


class SeasonFilters(filtering.Filters):
    """By a local date that the season holds."""

    on = filtering.Day(method="holding")

    def holding(self, seasons: QuerySet[Season], name: str, on: date) -> QuerySet[Season]:
        """Return the seasons that hold a local date."""
        return seasons.filter(first_on__lte=on, last_on__gte=on)


class Seasons(GroupRecords):
    """Named stretches of local dates; no two share a day."""

    at = "seasons"
    model = Season
    filterset_class = SeasonFilters


class ReportFilters(filtering.Filters):
    """By property and season."""

    property = filtering.Id(field_name="property_id")
    season = filtering.Id(field_name="season_id")


class SeasonReports(GroupRecords):
    """Reports of a property and season; ``latest`` is the number of the newest version, 0 before the first."""

    at = "season-reports"
    model = SeasonReport
    filterset_class = ReportFilters

    @classmethod
    def urls(cls) -> list[URLPattern]:
        """Return every route of reports, those of their versions too."""
        at = f"groups/<str:group>/{cls.at}/<str:id>/versions/<str:number>"
        return [*super().urls(), path(at, Version.as_view(), name=f"{cls.at}-version")]

    def create(self, request: Any, **place: str) -> Response:
        """Ask for a report, or for one more compilation of it; a job does the work."""
        asked = super().create(request, **place)
        job = Job.objects.get(group_id=request.actor.group_id, id=asked.data["job_id"])
        asked.data = {"id": asked.data["id"], "job": {"id": str(job.id), "state": job.state}}
        asked.status_code = 202
        return asked

    def describe(self, method: str) -> Does:
        """Return what an operation takes and gives."""
        does = super().describe(method)
        if self.action != "create":
            return does
        return Does(
            "Ask for a season report", _ASKED, does.takes, 202, parameters=does.parameters, headers=does.headers
        )


class Version(GroupEndpoint):
    """The figures of a report as they stood at one number of the book."""

    does = {"get": Does("Read a version of a season report; its number may be the word latest", _VERSION)}

    def get(self, request: Any, id: str, number: str, **place: str) -> Response:
        """Return a version."""
        check_parameters(request)
        group_id = request.actor.group_id
        report = SeasonReport.objects.filter(group_id=group_id, id=read_id(id)).first()
        wanted = report.latest if report and number == "latest" else _read_number(number)
        version = ReportVersion.objects.filter(group_id=group_id, report=report, number=wanted).first()
        if report is None or version is None:
            raise Unavailable
        return Response(answers.answer(version, request.group))


def _read_number(text: str) -> int:
    if not _NUMBER.fullmatch(text):
        raise Unavailable
    return int(text)
