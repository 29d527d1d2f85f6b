"""Who is missing on the days to come, and who could be asked: for coordinators."""

from datetime import date, timedelta
from typing import Any

from django.utils import timezone
from rest_framework.response import Response

from api import filtering
from api.operations import ID, INTEGER, TEXT, Does, a_list, an_object, in_query
from api.permissions import GroupEndpoint
from stewardship.accounts.models import Member
from stewardship.errors import NotPermitted
from stewardship.journal.book import Entry
from stewardship.workdays.coverage import DayCovered, DutyCovered, Lapsing, coverage_of_days, lapsing

LONGEST = timedelta(days=366)

_DAY = {"type": "string", "format": "date"}
_YES = {"type": "boolean"}
_MEMBER = an_object({"member": ID, "display_name": TEXT})
_REASON = an_object({"code": TEXT, "detail": TEXT, "where": TEXT})
_NOT_GOOD = an_object({"member": ID, "display_name": TEXT, "reasons": a_list(_REASON)})
_DUTY = an_object(
    {
        "duty": ID, "name": TEXT, "asks_credential": _YES, "wanted": INTEGER, "lacking": INTEGER,
        "good": a_list(_MEMBER), "not_good": a_list(_NOT_GOOD), "waiting": a_list(_MEMBER),
        "candidates": a_list(_MEMBER),
    }
)  # fmt: skip
_WORK_DAY = an_object(
    {
        "work_day": ID, "title": TEXT, "on_date": _DAY, "property": ID, "state": TEXT, "herbicide_planned": _YES,
        "is_short": _YES, "lacks_applicator": _YES, "duties": a_list(_DUTY),
    }
)  # fmt: skip
_LAPSE = an_object(
    {"member": ID, "display_name": TEXT, "work_day": ID, "on_date": _DAY, "duty": ID, "code": TEXT, "detail": TEXT}
)


class PeriodUnreadable(filtering.FilterInvalid):
    """A period that ends before it begins, or is too long."""

    message = "A period ends on or after its first date, and at most 366 days later."


class WorkDaysCoverage(GroupEndpoint):
    """For each day to come that wants people: who is good for each duty on that date, who is missing, who is free."""

    does = {
        "get": Does(
            "Tell who is missing on the days of a period",
            an_object({"from": _DAY, "to": _DAY, "results": a_list(_WORK_DAY), "lapses": a_list(_LAPSE)}),
            parameters=[
                in_query("from", _DAY, "The first local date.") | {"required": True},
                in_query("to", _DAY, "The last local date, at most 366 days later.") | {"required": True},
            ],
        )
    }

    def get(self, request: Any, **place: str) -> Response:
        """Return the days in order of date, and who does not last until a day that they signed up for."""
        actor = request.actor
        if not (actor.may("manage_work_days") and actor.may("manage_credentials")):
            raise NotPermitted
        first_on, last_on = _period(request)
        entry = Entry(group_id=actor.group_id, by=actor, at=timezone.now())
        found = coverage_of_days(entry, first_on, last_on)
        told = {"from": first_on.isoformat(), "to": last_on.isoformat()}
        return Response(
            told | {"results": [_day(d) for d in found], "lapses": [_lapse(each) for each in lapsing(found)]}
        )


def _period(request: Any) -> tuple[date, date]:
    """Return the period that is asked for. Raises FilterUnknown, FilterInvalid."""
    days = {name: filtering.Day(required=True) for name in ("from", "to")}
    asked = filtering.read(request, days)
    first_on, last_on = asked["from"], asked["to"]
    if not first_on <= last_on <= first_on + LONGEST:
        problem = {"pointer": "/to", "code": PeriodUnreadable.code, "detail": PeriodUnreadable.message}
        raise PeriodUnreadable(errors=[problem])
    return first_on, last_on


def _day(covered: DayCovered) -> dict[str, Any]:
    day = covered.day
    return {
        "work_day": str(day.id),
        "title": day.title,
        "on_date": day.on_date.isoformat(),
        "property": str(day.property_id),
        "state": day.state,
        "herbicide_planned": day.herbicide_planned,
        "is_short": covered.is_short,
        "lacks_applicator": covered.lacks_applicator,
        "duties": [_duty(each) for each in covered.duties],
    }


def _duty(covered: DutyCovered) -> dict[str, Any]:
    return {
        "duty": str(covered.duty.id),
        "name": str(covered.duty),
        "asks_credential": covered.asks,
        "wanted": covered.duty.wanted,
        "lacking": covered.lacking,
        "good": [_member(member) for member in covered.good],
        "not_good": [_member(each.member) | {"reasons": each.reasons} for each in covered.not_good],
        "waiting": [_member(member) for member in covered.waiting],
        "candidates": [_member(member) for member in covered.candidates],
    }


def _member(member: Member) -> dict[str, Any]:
    return {"member": str(member.id), "display_name": member.display_name}


def _lapse(lapse: Lapsing) -> dict[str, Any]:
    return _member(lapse.member) | {
        "work_day": str(lapse.day.id),
        "on_date": lapse.day.on_date.isoformat(),
        "duty": str(lapse.duty.id),
        "code": lapse.reason["code"],
        "detail": lapse.reason["detail"],
    }
