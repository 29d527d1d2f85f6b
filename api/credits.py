"""Credits towards the renewal of licences, and what they come to."""

from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import timezone
from rest_framework.response import Response

from api import filtering
from api.operations import ID, TEXT, Does, a_list, an_object, in_query, or_null
from api.permissions import GroupEndpoint
from api.records import GroupRecords
from stewardship.accounts.models import Member
from stewardship.credentials.credits import Ledger, ledger_of
from stewardship.credentials.models import CredentialType, Credit, Mode
from stewardship.errors import NotPermitted, Unavailable
from stewardship.rules.credits import Line
from stewardship.rules.dates import local_date
from stewardship.rules.figures import exact_text

_DAY = {"type": "string", "format": "date"}
_LINE = an_object({
    "category": TEXT, "wanted": TEXT, "earned": TEXT, "counted": TEXT, "lacking": or_null(TEXT),
    "beyond_caps": {"type": "object", "additionalProperties": TEXT},
})  # fmt: skip
_CYCLE = an_object({"first_on": _DAY, "last_on": _DAY})
_LEDGER = an_object({
    "member": ID, "type": ID, "on": _DAY, "cycle": or_null(_CYCLE), "unclear": TEXT, "lacking": or_null(TEXT),
    "lines": a_list(_LINE),
})  # fmt: skip


class CreditFilters(filtering.Filters):
    """By member, kind of credential, category, mode, dates and by what was voided."""

    member = filtering.Id(field_name="member_id")
    type = filtering.Id(field_name="type_id")
    category = filtering.Text()
    mode = filtering.Choice(words=Mode.values)
    from_date = filtering.Day(field_name="on_date", lookup_expr="gte")
    to_date = filtering.Day(field_name="on_date", lookup_expr="lte")
    voided = filtering.Flag(field_name="voided_at", lookup_expr="isnull", exclude=True)


class Credits(GroupRecords):
    """Credits of courses: one's own; a coordinator sees and enters all."""

    at = "credits"
    model = Credit
    filterset_class = CreditFilters


class CreditLedger(GroupEndpoint):
    """What a member's credits come to in the cycle of a kind of credential: beyond a cap they do not count."""

    does = {
        "get": Does(
            "Tell what a member's credits come to",
            _LEDGER,
            parameters=[
                in_query("member", ID, "Whose credits; oneself unless told."),
                in_query("type", ID, "The kind of credential.") | {"required": True},
                in_query("on", _DAY, "Up to and with this local date; today unless told."),
                in_query("since", _DAY, "The first day of the cycle, where it does not follow from the licence."),
            ],
        )
    }

    def get(self, request: Any, **place: str) -> Response:
        """Return the ledger."""
        ids = {"member": filtering.Id(), "type": filtering.Id(required=True)}
        asked = filtering.read(request, ids | {"on": filtering.Day(), "since": filtering.Day()})
        actor, group = request.actor, request.group
        member_id = asked["member"] or actor.member_id
        if not Member.objects.filter(group_id=actor.group_id, id=member_id).exists():
            raise Unavailable(where="member")
        if member_id != actor.member_id and not actor.may("manage_credentials"):
            raise NotPermitted
        kind = CredentialType.objects.filter(group_id=actor.group_id, id=asked["type"]).first()
        if kind is None:
            raise Unavailable(where="type")
        on = asked["on"] or local_date(timezone.now(), ZoneInfo(group.time_zone))
        found = ledger_of(actor.group_id, member_id, kind, on, since=asked["since"])
        return Response({"member": str(member_id)} | _told(found))


def _told(found: Ledger) -> dict[str, Any]:
    cycle = found.cycle
    return {
        "type": str(found.type.id),
        "on": found.on,
        "cycle": {"first_on": cycle.first_on, "last_on": cycle.last_on} if cycle else None,
        "unclear": found.unclear,
        "lacking": _text(found.lacking),
        "lines": [_line(line, is_known=cycle is not None) for line in found.lines],
    }


def _line(line: Line, *, is_known: bool) -> dict[str, Any]:
    return {
        "category": line.category,
        "wanted": _text(line.wanted),
        "earned": _text(line.earned),
        "counted": _text(line.counted),
        "lacking": _text(line.lacking) if is_known else None,
        "beyond_caps": {mode: _text(credits) for mode, credits in line.beyond_caps.items()},
    }


def _text(number: Fraction | None) -> str | None:
    return None if number is None else exact_text(number)
