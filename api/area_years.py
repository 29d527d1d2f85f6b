"""What was used in a unit in each year, and how that lies to the stored ceilings."""

from typing import Any

from rest_framework.response import Response

from api import answers, filtering
from api.components import HELD, SHOWN
from api.operations import ID, INTEGER, TEXT, Does, Schema, a_list, an_object, in_query, or_null
from api.permissions import GroupEndpoint
from stewardship.journal.models import Book
from stewardship.places.models import Unit
from stewardship.treatments.queries.area_years import area_years

_ACTIVE = an_object({
    "active_ingredient": ID, "name": TEXT, "ai_ug": INTEGER, "ai_unknown": INTEGER, "ae_ug": INTEGER,
    "ae_unknown": INTEGER,
})  # fmt: skip
_PRODUCT = an_object({"product": ID, "name": TEXT, "nl": INTEGER, "ug": INTEGER, "actives": a_list(_ACTIVE)})
_USED = an_object({
    "species": ID, "species_name": TEXT, "lines": INTEGER, "stems": INTEGER, "stems_unknown": INTEGER,
    "products": a_list(_PRODUCT),
})  # fmt: skip
_STATE: Schema = {"type": "string", "enum": ["over", "near", "not_comparable", "within"]}
_CEILING = an_object({
    "limit": ID, "active": TEXT, "state": _STATE, "used": TEXT, "unknown": INTEGER, "ceiling": TEXT,
    "percent": or_null(TEXT), "divided_by": or_null(TEXT), "decides": {"type": "boolean"}, "wording": TEXT,
    "source": TEXT,
})  # fmt: skip
_YEAR = an_object({"year": INTEGER, "used": a_list(_USED), "ceilings": a_list(_CEILING)})
_ANSWER = an_object({"unit": ID, "area_mm2": or_null(INTEGER), "years": a_list(_YEAR), "held": HELD}, {"area": SHOWN})


class AreaYears(GroupEndpoint):
    """What was used in a unit in each year, by species and product, and how that lies to the stored ceilings.

    A ceiling counts all methods, crews and products with the same active ingredient, and divides by the whole area of
    the unit. No stored limit exceeded is no permission: read the label.
    """

    does = {
        "get": Does(
            "Tell a unit's area-year ledger",
            _ANSWER,
            parameters=[in_query("year", INTEGER, "One calendar year of the property's local dates.")],
        )
    }

    def get(self, request: Any, **place: str) -> Response:
        """Return the years, the newest first."""
        year = filtering.read(request, {"year": filtering.Number()})["year"]
        unit = self.one(Unit.objects.filter(Unit.visible_to(request.actor)), place["id"])
        held = Book.objects.values_list("held", flat=True).get(group_id=unit.group_id)
        said = {"unit": str(unit.id), "area_mm2": unit.area_mm2, "held": held}
        return Response(answers.told(said, request.group) | {"years": area_years(unit, year)})
