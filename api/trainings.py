"""Trainings of people without a licence of their own, and their roster for an authority."""

from typing import Any

from django.http import HttpResponse
from rest_framework.response import Response

from api import filtering
from api.operations import TEXT, Does, a_list, an_object, in_query
from api.permissions import GroupEndpoint
from api.records import GroupRecords
from stewardship.credentials.models import Training
from stewardship.credentials.roster import COLUMNS, as_csv, gaps, roster
from stewardship.errors import NotPermitted

_DAY = {"type": "string", "format": "date"}
_ROW = an_object(dict.fromkeys(COLUMNS, TEXT) | {"gaps": a_list(TEXT)})
_NEEDED = {"required": True}


class TrainingFilters(filtering.Filters):
    """By trainee, trainer, rule, dates, and by what is signed or was voided."""

    trainee = filtering.Id(field_name="trainee_id")
    trainer = filtering.Id(field_name="trainer_id")
    type = filtering.Id(field_name="type_id")
    from_date = filtering.Day(field_name="on_date", lookup_expr="gte")
    to_date = filtering.Day(field_name="on_date", lookup_expr="lte")
    ends_before = filtering.Day(field_name="last_on", lookup_expr="lt")
    signed = filtering.Flag(field_name="signed_at", lookup_expr="isnull", exclude=True)
    voided = filtering.Flag(field_name="voided_at", lookup_expr="isnull", exclude=True)


class Trainings(GroupRecords):
    """Trainings, one record for each trained person; it counts once that person has signed it."""

    at = "trainings"
    model = Training
    filterset_class = TrainingFilters


class Roster(GroupEndpoint):
    """Who was trained between two days, with everything that an authority asks for; what is missing is named."""

    does = {
        "get": Does(
            "List who was trained, for an authority",
            an_object({"from": _DAY, "to": _DAY, "results": a_list(_ROW)}),
            parameters=[
                in_query("from", _DAY, "The first day of training.") | _NEEDED,
                in_query("to", _DAY, "The last day of training.") | _NEEDED,
                in_query("format", {"type": "string", "enum": ["json", "csv"]}, "csv: a table for a spreadsheet."),
            ],
        )
    }

    def get(self, request: Any, **place: str) -> HttpResponse | Response:
        """Return the rows, or the table."""
        if not request.actor.may("manage_credentials"):
            raise NotPermitted
        days = {name: filtering.Day(required=True) for name in ("from", "to")}
        asked = filtering.read(request, days | {"format": filtering.Choice(words=["json", "csv"])})
        rows = roster(request.group, asked["from"], asked["to"])
        if asked["format"] == "csv":
            name = f"trainings-{asked['from']}-{asked['to']}.csv"
            headers = {"Content-Disposition": f'attachment; filename="{name}"'}
            return HttpResponse(as_csv(rows), content_type="text/csv; charset=utf-8", headers=headers)
        told = [row | {"gaps": gaps(row)} for row in rows]
        return Response({"from": asked["from"], "to": asked["to"], "results": told})
