"""The sides of use (where, when, of what, how, by whom): how each is reached in the tables, and how it is told.

``at`` is the way from a row to its line: empty for a line itself, ``application__`` for a product or an active
ingredient in it.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import Case, F, IntegerField, Q, Value, When
from django.db.models.functions import TruncMonth

from stewardship.reports.models import Season
from stewardship.rules.methods import WORDS

BY = ("property", "unit", "season", "month", "product", "active_ingredient", "method", "species", "applicator")
"""What use is added up by."""
OF_USE = frozenset({"product", "active_ingredient"})
"""The sides that a line can have several of: those of its products."""
OUTSIDE = "outside every season"
NO_MEMBER = "a contractor, no member"
"""What stands for the applicator of what a contractor applied."""

_COLUMNS = {
    "property": "property_id",
    "unit": "unit_id",
    "method": "method",
    "species": "species_id",
    "applicator": "session__applicator_id",
    "product": "product_id",
    "active_ingredient": "active_ingredient_id",
}
_NAMES: dict[str, dict[str, str]] = {
    "property": {"name": "property__name"},
    "unit": {"name": "unit__name"},
    "species": {"name": "species__scientific_name"},
    "applicator": {"name": "session__applicator__display_name"},
    "product": {"name": "product__name", "registration_no": "product__registration_no"},
    "active_ingredient": {"name": "active_ingredient__name", "form": "active_ingredient__form"},
}
"""Side -> what is told of it beside its id."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked for: the sides that rows are split by, the local dates, and what each side must be."""

    by: tuple[str, ...] = ()
    first_on: date | None = None
    last_on: date | None = None
    where: Mapping[str, UUID | str] = field(default_factory=dict)
    """Side (any but ``month``) -> an id, or the word of a method."""


def lines_asked_for(asked: Asked, seasons: Iterable[Season], at: str = "") -> Q:
    """Return the condition on lines; an id that names nothing finds nothing."""
    found = Q(**{f"{at}voided_at": None})
    for side, value in asked.where.items():
        if side == "season":
            found &= _within(next((season for season in seasons if season.id == value), None), at)
        elif side not in OF_USE:
            found &= Q(**{f"{at}{_COLUMNS[side]}": value})
    if asked.first_on:
        found &= Q(**{f"{at}on_date__gte": asked.first_on})
    if asked.last_on:
        found &= Q(**{f"{at}on_date__lte": asked.last_on})
    return found


def uses_asked_for(asked: Asked) -> dict[str, Any]:
    """Return what the columns of a product, or active ingredient, in a line must be."""
    return {_COLUMNS[side]: value for side, value in asked.where.items() if side in OF_USE}


def _within(season: Season | None, at: str) -> Q:
    return Q(**{f"{at}on_date__range": (season.first_on, season.last_on)}) if season else Q(pk__in=[])


def keys(by: Iterable[str], seasons: Sequence[Season], at: str = "") -> dict[str, Any]:
    """Return what rows are grouped by, as ``by_property`` and so on; a season is its place in ``seasons``, else -1."""
    return {f"by_{side}": _key(side, seasons, at) for side in by}


def _key(side: str, seasons: Sequence[Season], at: str) -> Any:
    if side == "month":
        return TruncMonth(f"{at}on_date")
    if side == "season":
        spans = [
            When(**{f"{at}on_date__range": (season.first_on, season.last_on)}, then=Value(place))
            for place, season in enumerate(seasons)
        ]
        spans = spans or [When(**{f"{at}on_date__isnull": True}, then=Value(-1))]  # a constant would group nothing
        return Case(*spans, default=Value(-1), output_field=IntegerField())
    return F(_COLUMNS[side] if side in OF_USE else at + _COLUMNS[side])


def names(by: Iterable[str], at: str = "") -> dict[str, F]:
    """Return the columns that say what the keys are, as ``property_name`` and so on."""
    return {
        f"{side}_{told}": F(column if side in OF_USE else at + column)
        for side in by
        for told, column in _NAMES.get(side, {}).items()
    }


def told(side: str, row: Mapping[str, Any], seasons: Sequence[Season]) -> dict[str, Any]:
    """Return a key as it is told: its id, its name and what else stands beside it."""
    key = row[f"by_{side}"]
    if side == "season":
        season = seasons[key] if key >= 0 else None
        return {"id": str(season.id), "name": season.name} if season else {"id": None, "name": OUTSIDE}
    if side == "month":
        month = key.isoformat()[:7]
        return {"id": month, "name": month}
    if side == "method":
        return {"id": key, "name": WORDS[key]}
    if key is None and side == "applicator":
        return {"id": None, "name": NO_MEMBER}
    return {"id": str(key)} | {name: row[f"{side}_{name}"] for name in _NAMES[side]}


def order(by: Iterable[str], row: Mapping[str, Any], seasons: Sequence[Season]) -> list[tuple[Any, ...]]:
    """Return what rows are sorted by: seasons by date and those outside last, all else by name."""
    return [_place(side, row, seasons) for side in by]


def _place(side: str, row: Mapping[str, Any], seasons: Sequence[Season]) -> tuple[Any, ...]:
    if side == "season":
        return (row["by_season"] if row["by_season"] >= 0 else len(seasons),)
    found = told(side, row, seasons)
    return (*(value for name, value in found.items() if name != "id"), found["id"])
