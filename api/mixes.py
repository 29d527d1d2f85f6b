"""Planning a mix: any member asks, and nothing is written."""

from typing import Any
from zoneinfo import ZoneInfo

from django.utils import timezone
from rest_framework.response import Response

from api.components import SHOWN, WARNING
from api.filtering import check_parameters
from api.operations import ID, INTEGER, TEXT, Does, a_list, an_object, or_null
from api.permissions import GroupEndpoint
from api.writing import fields_of
from stewardship.catalog.mixing import MixPlan, plan
from stewardship.catalog.queries import shelf_for
from stewardship.errors import NotPermitted
from stewardship.rules.dates import local_date
from stewardship.sync.reading import read_fields
from stewardship.treatments.queries.planning import warnings_for_unit

_WHAT = {"product": ID, "name": TEXT, "adjuvant": TEXT, "carrier": TEXT, "leftover": {"type": "boolean"}}
_STEP = an_object({"number": INTEGER, "amount": SHOWN, "to": or_null(TEXT)}, {**_WHAT, "level": SHOWN})
_POUR = an_object(
    {"amount": SHOWN},
    {**_WHAT, "volume_nl": INTEGER, "mass_ug": INTEGER, "planned": SHOWN, "planned_nl": INTEGER, "planned_ug": INTEGER},
)
_FIGURES = {"type": "object", "additionalProperties": or_null(TEXT)}
_MASS = or_null(an_object({"value": TEXT, "unit": TEXT, "ug": INTEGER}))
_INGREDIENT = an_object(
    {"product": ID, "active_ingredient": ID, "name": TEXT, "strengths": _FIGURES, "ai": _MASS, "ae": _MASS},
)
_ANSWER = an_object(
    {
        "makes": SHOWN,
        "carrier": or_null(TEXT),
        "steps": a_list(_STEP),
        "pour": a_list(_POUR),
        "strengths": _FIGURES,
        "totals": an_object({"ai": _MASS, "ae": _MASS}),
        "ingredients": a_list(_INGREDIENT),
        "unknown": a_list(TEXT),
        "warnings": a_list(WARNING),
        "cautions": a_list(an_object({"code": TEXT, "text": TEXT, "source": TEXT})),
    },
)


class PlanMix(GroupEndpoint):
    """What to pour for a mix and what it makes; a null figure is unknown. The label overrules every figure."""

    does = {"post": Does("Plan a mix", _ANSWER, MixPlan)}

    def post(self, request: Any, **place: str) -> Response:
        """Plan it and answer; nothing is written."""
        check_parameters(request)
        if not request.actor.may("plan_mix"):
            raise NotPermitted
        wish = read_fields(fields_of(request), MixPlan)
        answer = plan(wish, shelf_for(request.group, wish))
        at = timezone.now()
        today = local_date(at, ZoneInfo(request.group.time_zone))
        answer["warnings"] += warnings_for_unit(request.group.id, wish, answer, today, at)
        return Response(answer)
