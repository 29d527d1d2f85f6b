"""What is told about a work day: why it cannot be closed yet, how its weather compares; and the clocks of incidents."""

from typing import Any

from django.utils import timezone
from rest_framework.response import Response

from api.filtering import check_parameters
from api.operations import ID, INTEGER, MOMENT, TEXT, Does, a_list, an_object, or_null
from api.permissions import GroupEndpoint
from stewardship.catalog.models import Limit
from stewardship.closeout.queries import what_is_open
from stewardship.journal.contents import instant
from stewardship.treatments.day_weather import Compared, compared
from stewardship.workdays.clocks import Running, running
from stewardship.workdays.models import WeatherReading, WorkDay

_REASON = an_object({"code": TEXT, "detail": TEXT, "where": TEXT})
_FLAG = {"type": "boolean"}
_FINDING = an_object({"code": TEXT, "detail": TEXT, "source": TEXT})
_COMPARED = an_object({"method": TEXT, "formulation": TEXT, "words": TEXT, "findings": a_list(_FINDING)})
_CLOCK = an_object(
    {
        "incident": ID, "practice": ID, "title": TEXT, "source": TEXT, "due": or_null(MOMENT),
        "state": {"type": "string", "enum": ["in_time", "late", "open", "overdue", "no_clock"]},
        "left_seconds": or_null(INTEGER),
    }
)  # fmt: skip


class CloseOut(GroupEndpoint):
    """Everything that keeps a work day from being closed; nothing is tried."""

    does = {
        "get": Does(
            "Tell what keeps a work day from being closed",
            an_object({"work_day": ID, "is_closable": _FLAG, "reasons": a_list(_REASON)}),
        )
    }

    def get(self, request: Any, id: str, **place: str) -> Response:
        """Return the reasons that closing it would be refused with."""
        check_parameters(request)
        day = self.one(WorkDay.objects.all(), id)
        reasons = what_is_open(request.actor, day, timezone.now())
        return Response({"work_day": str(day.id), "is_closable": not reasons, "reasons": reasons})


class DayWeather(GroupEndpoint):
    """The readings of a work day, held against the stored limits by method and formulation."""

    does = {
        "get": Does(
            "Compare the weather of a work day with the stored limits",
            an_object({"work_day": ID, "readings": INTEGER, "results": a_list(_COMPARED)}),
        )
    }

    def get(self, request: Any, id: str, **place: str) -> Response:
        """Return for each way of working what is over or below a stored limit; never what may be done."""
        check_parameters(request)
        day = self.one(WorkDay.objects.all(), id)
        in_group = {"group_id": day.group_id}
        readings = list(WeatherReading.objects.filter(**in_group, work_day=day, voided_at=None).order_by("read_at"))
        limits = Limit.objects.filter(**in_group, retired_at=None).order_by("id")
        results = [_compared(each) for each in compared(limits, readings)]
        return Response({"work_day": str(day.id), "readings": len(readings), "results": results})


class IncidentClocks(GroupEndpoint):
    """How long there is to report what went wrong, by each published clock that runs for it."""

    does = {
        "get": Does("Tell the clocks of incidents that nobody has answered", an_object({"results": a_list(_CLOCK)}))
    }

    def get(self, request: Any, **place: str) -> Response:
        """Return every running clock, the next due first."""
        check_parameters(request)
        return Response({"results": [_clock(each) for each in running(request.group, timezone.now())]})


def _compared(each: Compared) -> dict[str, Any]:
    findings = [finding.told() for finding in each.findings]
    return {"method": each.method, "formulation": each.formulation, "words": each.words, "findings": findings}


def _clock(each: Running) -> dict[str, Any]:
    left = each.standing.left
    return {
        "incident": str(each.incident.id),
        "practice": str(each.practice.id),
        "title": each.practice.title,
        "source": each.practice.source,
        "due": instant(each.due) if each.due else None,
        "state": each.standing.state,
        "left_seconds": None if left is None else int(left.total_seconds()),
    }
