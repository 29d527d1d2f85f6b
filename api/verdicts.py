"""How records of use stand under the rules of their place."""

from typing import Any

from django.utils import timezone
from rest_framework.response import Response

from api import filtering, operations
from api.operations import ID, INTEGER, MOMENT, TEXT, Does, a_list, a_page, an_object, or_null
from api.paging import page
from api.permissions import GroupEndpoint, read_id
from stewardship.errors import Unavailable
from stewardship.journal.contents import instant
from stewardship.rules.profiles import Profile
from stewardship.rules.requirements import LOCATION_FORMS
from stewardship.treatments.models import Application
from stewardship.treatments.verdicts.judging import Judged, judge_lines
from stewardship.treatments.verdicts.shelf import JUDGED

DAY: operations.Schema = {"type": "string", "format": "date"}
FLAG: operations.Schema = {"type": "boolean"}
STATES = ("in_time", "late", "open", "overdue", "no_clock")
_WORDS = an_object({"field": TEXT, "words": TEXT})
_PROFILE = an_object(
    {
        "key": TEXT, "name": TEXT, "source": TEXT, "jurisdiction": TEXT,
        "effective_from": or_null(DAY), "effective_to": or_null(DAY), "retention_years": or_null(INTEGER),
    }
)  # fmt: skip
_VERDICT = an_object(
    {
        "application": ID,
        "session": ID,
        "on_date": DAY,
        "product": an_object({"id": ID, "name": TEXT}),
        "profile": _PROFILE,
        "is_complete": FLAG,
        "missing": a_list(_WORDS),
        "findings": a_list(an_object({"code": TEXT, "detail": TEXT})),
        "used_spot_list": FLAG,
        "due": or_null(MOMENT),
        "state": {"type": "string", "enum": list(STATES)},
        "left_seconds": or_null(INTEGER),
        "keep_until": or_null(DAY),
        "place": or_null(an_object({"form": {"type": "string", "enum": list(LOCATION_FORMS)}, "said": {}})),
    }
) | {
    "description": "How one product of a line stands under one rule. left_seconds: left of its time now, or left when "
    "it was complete; negative where the time ran out. place: in the form that the rule takes."
}  # fmt: skip


class ApplicationVerdicts(GroupEndpoint):
    """How one line stands: a verdict for each product and each rule in force on its date."""

    does = {"get": Does("Judge an application by the rules of its place", an_object({"results": a_list(_VERDICT)}))}

    def get(self, request: Any, id: str, **place: str) -> Response:
        """Return the verdicts."""
        filtering.check_parameters(request)
        lines = list(_lines(request).filter(id=read_id(id)))
        if not lines:
            raise Unavailable
        return Response({"results": [told(each) for each in judge_lines(request.group, lines, timezone.now())]})


class VerdictFilters(filtering.Filters):
    """By local date, by property, and by how the record stands."""

    from_date = filtering.Day(field_name="on_date", lookup_expr="gte")
    to_date = filtering.Day(field_name="on_date", lookup_expr="lte")
    property = filtering.Id(field_name="property_id")
    state = filtering.Choice(words=["incomplete", "outside", *STATES], method="leave")

    def leave(self, rows: Any, name: str, value: str) -> Any:
        """Leave the rows: how a record stands is found out when they are judged."""
        return rows


class Verdicts(GroupEndpoint):
    """Records that want attention: incomplete, outside a rule, late, or with a clock that runs."""

    does = {
        "get": Does(
            "List verdicts that want attention, or those in one state",
            a_page(_VERDICT),
            parameters=[
                *operations.PAGE,
                *(
                    operations.in_query(name, each.schema, (type(each).__doc__ or "").strip())
                    for name, each in VerdictFilters.base_filters.items()
                ),
            ],
        )
    }

    def get(self, request: Any, **place: str) -> Response:
        """Return the verdicts on a page of lines that count; a page can be empty and yet have a next one."""
        lines = _lines(request).filter(voided_at=None, session__voided_at=None)
        found, links = page(filtering.filtered(lines, VerdictFilters, request), request)
        state = request.query_params.get("state", "")
        judged = judge_lines(request.group, found, timezone.now())
        return Response(links | {"results": [told(each) for each in judged if _is_wanted(each, state)]})


def _lines(request: Any) -> Any:
    return Application.objects.filter(group_id=request.actor.group_id).select_related(*JUDGED)


def _is_wanted(judged: Judged, state: str) -> bool:
    if state == "incomplete":
        return not judged.verdict.is_complete
    if state == "outside":
        return bool(judged.verdict.findings)
    return judged.verdict.standing.state == state if state else judged.wants_attention


def told(judged: Judged) -> dict[str, Any]:
    """Return a verdict as it is answered."""
    line, verdict = judged.line, judged.verdict
    left = verdict.standing.left
    return {
        "application": str(line.id),
        "session": str(line.session_id),
        "on_date": line.on_date.isoformat(),
        "product": {"id": str(judged.product.id), "name": judged.product.name},
        "profile": _profile(verdict.profile),
        "is_complete": verdict.is_complete,
        "missing": [{"field": each.field, "words": each.words} for each in verdict.missing],
        "findings": [{"code": each.code, "detail": each.words} for each in verdict.findings],
        "used_spot_list": verdict.used_spot_list,
        "due": verdict.due and instant(verdict.due),
        "state": verdict.standing.state,
        "left_seconds": None if left is None else left.days * 86_400 + left.seconds,
        "keep_until": verdict.keep_until and verdict.keep_until.isoformat(),
        "place": judged.place and {"form": judged.place[0], "said": judged.place[1]},
    }


def _profile(profile: Profile) -> dict[str, Any]:
    days = {name: getattr(profile, name) for name in ("effective_from", "effective_to")}
    return {
        "key": profile.key,
        "name": profile.name,
        "source": profile.source,
        "jurisdiction": profile.jurisdiction,
        "retention_years": profile.retention_years,
        **{name: day and day.isoformat() for name, day in days.items()},
    }
