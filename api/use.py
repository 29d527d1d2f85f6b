"""What was used, added up by any of its sides."""

from collections.abc import Mapping
from typing import Any

import django_filters
from django.core.exceptions import ValidationError
from rest_framework.response import Response

from api import answers, components, filtering
from api.operations import ID, INTEGER, TEXT, Does, Schema, a_list, an_object, in_query, or_null
from api.permissions import GroupEndpoint
from api.problems import InvalidRequest
from stewardship.journal.snapshots import snapshot
from stewardship.reports.sides import BY, Asked
from stewardship.reports.use import HOW_KNOWN, use_summary
from stewardship.rules.methods import HERBICIDE_METHODS

MOST_ROWS = 5_000

_FILTERS: dict[str, django_filters.Filter] = {
    "from": filtering.Day(),
    "to": filtering.Day(),
    "method": filtering.Choice(words=list(HERBICIDE_METHODS)),
    **{side: filtering.Id() for side in BY if side not in ("month", "method")},
}
_SAYS = {"from": "The first local date.", "to": "The last local date."}


class SideUnknown(InvalidRequest):
    """Rows are split by something that use has not, or twice by the same."""

    code = "by_unknown"
    message = f"Say by what to add up, each once, with commas between them: {', '.join(BY)}."
    where = "by"


class TooManyRows(InvalidRequest):
    """The answer would be longer than anybody reads."""

    code = "too_many_rows"
    message = f"That makes more than {MOST_ROWS} rows: ask for fewer dates, one property, or fewer things to add up by."
    where = "by"


def _described(text: str, **schemas: Schema) -> dict[str, Schema]:
    return {name: schema | {"description": text} for name, schema in schemas.items()}


def _amount(name: str, base: str, text: str) -> tuple[dict[str, Schema], dict[str, Schema]]:
    """Return an amount in base units, null where unknown, and beside it the same in the group's unit."""
    return {f"{name}_{base}": or_null(INTEGER) | {"description": text}}, {name: components.SHOWN}


_PRODUCT = _described("Liquid product before mixing [nL].", product_nl=INTEGER)
_PRODUCT |= _described("Dry product before mixing [µg].", dry_product_ug=INTEGER)
_PRODUCT_SHOWN: dict[str, Schema] = {"product": components.SHOWN, "dry_product": components.SHOWN}
_MIX, _MIX_SHOWN = _amount(
    "mix", "nl", "Finished mix [nL], each line once: a line of a tank mix is not counted again for each product."
)
_AREA, _AREA_SHOWN = _amount("area", "mm2", "Area [mm²] where it is stated; null where no line states it.")
_AI, _AI_SHOWN = _amount("ai", "ug", "Active ingredient [µg] where labels state it; null where none does.")
_AE, _AE_SHOWN = _amount("ae", "ug", "Acid equivalent [µg] where labels state it; null where none does.")

_SUMS = {
    **_described("Lines of use (applications) behind these sums.", lines=INTEGER),
    **_PRODUCT,
    **_MIX,
    **_described("Stems where they are counted; null where no line states them.", stems=or_null(INTEGER)),
    **_described("Lines that do not state stems.", stems_unknown=INTEGER),
    **_AREA,
    **_described("Lines that do not state an area.", area_unknown=INTEGER),
    **_described("Area [mm²] treated for the first time: ground treated twice counts once.", first_area_mm2=INTEGER),
    **_described("Area [mm²] treated again.", follow_up_area_mm2=INTEGER),
    **_described("Lines on a place that was not treated before.", first_treatments=INTEGER),
    **_described("Lines on a place that was treated before.", follow_ups=INTEGER),
    **_described("Lines that do not say which of the two.", follow_up_unknown=INTEGER),
    "how_known": an_object(dict.fromkeys(HOW_KNOWN, INTEGER)) | {"description": "Lines by how the mix is known."},
}
_SUMS_SHOWN = _PRODUCT_SHOWN | _MIX_SHOWN | _AREA_SHOWN
_SUMS_SHOWN |= {"first_area": components.SHOWN, "follow_up_area": components.SHOWN}
_ACTIVE = an_object(
    {
        "id": ID,
        "name": TEXT,
        "form": TEXT,
        **_described("Lines that it was used in.", lines=INTEGER),
        **_described("Liquid product that carried it [nL]; two in one product each name all.", product_nl=INTEGER),
        **_described("Dry product that carried it [µg]; two in one product each name all.", dry_product_ug=INTEGER),
        **_AI,
        **_described("Records of its use whose label does not state it.", ai_unknown=INTEGER),
        **_AE,
        **_described("Records of its use whose label does not state it.", ae_unknown=INTEGER),
    },
    _PRODUCT_SHOWN | _AI_SHOWN | _AE_SHOWN,
)
_ACTIVES = a_list(_ACTIVE) | {"description": "Each active ingredient, in one form, by itself: they are never added up."}
_SESSIONS = _described(
    "Distinct sessions behind it, shared lines too; rows do not add up to the total.", sessions=INTEGER
)
_KEY = an_object({"id": or_null(TEXT), "name": TEXT}, {"form": TEXT, "registration_no": TEXT})
_KEYS = an_object({}, dict.fromkeys(BY, _KEY)) | {
    "description": "What the row is of. A date outside every season has the season null; a month is such as 2027-05."
}
_SHARED = an_object(_SUMS, _SUMS_SHOWN)
_ANSWER = an_object(
    {
        "by": a_list({"type": "string", "enum": list(BY)}),
        "from": or_null({"type": "string", "format": "date"}),
        "to": or_null({"type": "string", "format": "date"}),
        "results": a_list(
            an_object(
                {
                    "keys": _KEYS,
                    **_SESSIONS,
                    **_SUMS,
                    "shared": _SHARED
                    | {"description": "The same of lines that stand behind other rows too; not in the row's own sums."},
                    "active_ingredients": _ACTIVES,
                },
                _SUMS_SHOWN,
            )
        ),
        "shared": _SHARED | {"description": "What rows tell as shared, each line once: results + shared = totals."},
        "totals": an_object({**_SESSIONS, **_SUMS, "active_ingredients": _ACTIVES}, _SUMS_SHOWN),
        "held": components.HELD,
        **_described("The number of the record book that the sums rest on.", head=INTEGER),
    }
)
_BY = "By what rows are split, with commas between: " + ", ".join(BY) + ". Without it there are totals only."


class UseSummary(GroupEndpoint):
    """Sums over lines of use that are not voided."""

    does = {
        "get": Does(
            "Add up what was used",
            _ANSWER,
            parameters=[
                in_query("by", TEXT | {"maxLength": 200}, _BY),
                *(
                    in_query(name, filter.schema, _SAYS.get(name, f"Only this {name.replace('_', ' ')}."))
                    for name, filter in _FILTERS.items()
                ),
            ],
        )
    }

    def get(self, request: Any, **place: str) -> Response:
        """Return sums by what is asked for, and totals, from one state of the book."""
        asked = _asked(request)
        with snapshot():
            found = use_summary(request.actor.group_id, asked, most=MOST_ROWS)
        if len(found["results"]) > MOST_ROWS:
            raise TooManyRows
        days = {"from": asked.first_on, "to": asked.last_on}
        head = {"by": asked.by, **{name: day and day.isoformat() for name, day in days.items()}}
        return Response(head | _shown(found, request.group))


def _asked(request: Any) -> Asked:
    """Return what is asked for. Raises FilterUnknown, FilterInvalid, SideUnknown."""
    filtering.check_parameters(request, "by", *_FILTERS)
    sides = tuple(request.query_params["by"].split(",")) if "by" in request.query_params else ()
    if not set(sides) <= set(BY) or len(set(sides)) < len(sides):
        raise SideUnknown
    where = {name: _read(name, request) for name in _FILTERS if name in request.query_params}
    first_on, last_on = where.pop("from", None), where.pop("to", None)
    if first_on and last_on and last_on < first_on:
        raise _invalid("to", "The last date comes before the first.")
    return Asked(sides, first_on, last_on, where)


def _read(name: str, request: Any) -> Any:
    try:
        return _FILTERS[name].field.clean(request.query_params[name])
    except ValidationError as error:
        raise _invalid(name, error.messages[0]) from None


def _invalid(name: str, detail: str) -> filtering.FilterInvalid:
    problem = {"pointer": f"/{name}", "code": filtering.FilterInvalid.code, "detail": detail}
    return filtering.FilterInvalid(errors=[problem])


def _shown(found: Mapping[str, Any], group: Any) -> dict[str, Any]:
    """Return the summary with amounts in the group's units too."""
    return {
        **found,
        "results": [_row(row, group) for row in found["results"]],
        "shared": answers.told(found["shared"], group),
        "totals": answers.told(found["totals"], group),
    }


def _row(row: dict[str, Any], group: Any) -> dict[str, Any]:
    return answers.told(row, group) | {"keys": row["keys"], "shared": answers.told(row["shared"], group)}
