"""The figures of a property's season: sums over what counts, and beside each sum what is unknown in it.

Every amount is a whole number of base units (nL, µg, mm²), so the same rows give the same figures on every engine.
An amount that a record does not state is counted as unknown, never taken for nothing.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID

from django.db.models import Count, F, Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from stewardship.journal.models import Book
from stewardship.places.models import Property
from stewardship.reports.accounts import NEEDED, read_accounts
from stewardship.reports.licences import without_licence
from stewardship.reports.models import Season
from stewardship.treatments.models import ActiveUse, Application, Batch, Leftover, ProductUse, Session, WorkLine
from stewardship.workdays import queries as days

Figures = dict[str, Any]


def season_figures(place: Property, season: Season) -> Figures:
    """Return everything that the report of a property and season tells, as JSON values in a fixed order."""
    span = Q(group_id=place.group_id, property_id=place.id, on_date__range=(season.first_on, season.last_on))
    lines, sessions, by_hand = (
        model.objects.filter(span, voided_at=None) for model in (Application, Session, WorkLine)
    )
    return {
        "property": {"id": str(place.id), "name": place.name, "area_mm2": place.area_mm2},
        "season": {
            "id": str(season.id),
            "name": season.name,
            "first_on": season.first_on.isoformat(),
            "last_on": season.last_on.isoformat(),
        },
        **days.people_and_hours(place, season.first_on, season.last_on).figures(),
        **sessions.aggregate(
            sessions=Count("id"),
            applicators=Count("applicator", distinct=True),
            contractors=Count("contractor", distinct=True),
        ),
        "applications": lines.count(),
        "treated": _whole(lines.aggregate(**_worked(), mix_nl=Coalesce(Sum("mix_nl"), 0))),
        "worked_by_hand": _whole(by_hand.aggregate(**_worked(), **_known("minutes"))),
        "products": _products(lines),
        "active_ingredients": _actives(lines, {}),
        "use": _actives(lines, USE),
        "treatments": _lines(lines, mix_nl=Sum("mix_nl")),
        "by_hand": _lines(by_hand, **_known("minutes")),
        "how_known": _counted(lines.values_list("how_known").annotate(Count("id"))),
        "marks": {
            "batches": _marks(Batch.objects.filter(id__in=lines.values("batch_id"))),
            "sessions": _marks(sessions),
            "applications": _marks(lines),
            "work_lines": _marks(by_hand),
        },
        "without_licence": without_licence(lines),
        "balances": _balances(place.group_id, lines),
        "unknown_containers": _unknown_containers(span),
        "held": Book.objects.values_list("held", flat=True).get(group_id=place.group_id),
    }


def _balances(group_id: UUID, lines: QuerySet[Application]) -> Figures:
    """Return how many batches these lines drew on, which do not balance and by how much, how many nobody measured.

    ``by_nl`` [nL]: above nothing is missing, below nothing more is accounted for than was mixed.
    """
    found = read_accounts(group_id, lines.values("batch_id"), only=NEEDED)
    off = [(batch, found.off(batch)) for batch in found.batches]
    return {
        "count": len(found.batches),
        "do_not_balance": [
            {"batch": str(batch.id), "on_date": batch.on_date.isoformat(), "by_nl": each.by_nl, "unit": batch.mix_unit}
            for batch, each in off
            if each and each.code != "batch_not_measured"
        ],
        "not_measured": sum(each is not None and each.code == "batch_not_measured" for _, each in off),
    }


def _unknown_containers(span: Q) -> Figures:
    """Return the containers that were found here and of which nobody knows what they hold, each counted once."""
    found = Leftover.objects.filter(span, batch=None, voided_at=None)
    return found.aggregate(
        count=Count("id"), volume_nl=Coalesce(Sum("volume_nl"), 0), disposed=Count("id", filter=Q(end="disposed"))
    )


USE = {
    "species_name": F("application__species__scientific_name"),
    "method": F("application__method"),
    "species_id": F("application__species_id"),
}
"""What use is told by, in the order of its rows."""


PRODUCT_SUMS = {f"{name}_sum": Coalesce(Sum(name), 0) for name in ("product_nl", "dry_product_ug")}
"""Sums of product: liquids by volume, dry ones by weight; an amount in the one measure is no unknown of the other."""


def _products(lines: QuerySet[Application]) -> list[Figures]:
    uses = ProductUse.objects.filter(application__in=lines)
    sums = uses.values("product_id", name=F("product__name"), registration_no=F("product__registration_no"))
    return _told(sums.annotate(lines=Count("id"), **PRODUCT_SUMS), "name", "product_id")


def _actives(lines: QuerySet[Application], by: Mapping[str, F]) -> list[Figures]:
    """Return sums by active ingredient in one of its forms and, where ``by`` names them, species and method."""
    uses = ActiveUse.objects.filter(application__in=lines)
    named = {"name": F("active_ingredient__name"), "form": F("active_ingredient__form")}
    sums = uses.values("active_ingredient_id", **by, **named).annotate(
        lines=Count("application_id", distinct=True),
        **PRODUCT_SUMS,
        **_known("ai_ug"),
        **_known("ae_ug"),
    )
    return _told(sums, *by, *named, "active_ingredient_id")


def _lines(lines: QuerySet[Any], **sums: Any) -> list[Figures]:
    by = lines.values("species_id", "method", species_name=F("species__scientific_name"))
    found = by.annotate(lines=Count("id"), **_worked(), **sums)
    return _told(found, "species_name", "method", "species_id")


def _worked() -> dict[str, Any]:
    """Return what is told of any lines of work."""
    return {
        "follow_up": Count("id", filter=Q(is_follow_up=True)),
        "follow_up_unknown": Count("id", filter=Q(is_follow_up=None)),
        "units": Count("unit_id", distinct=True),
        **_known("stems"),
        **_known("area_mm2"),
    }


def _known(column: str) -> dict[str, Any]:
    """Return the sum of what is stated in a column, and the count of rows that do not state it."""
    return {
        f"{column}_sum": Coalesce(Sum(column), 0),
        f"{column}_unknown": Count("id", filter=Q(**{f"{column}__isnull": True})),
    }


def _told(rows: QuerySet[Any, dict[str, Any]], *order: str) -> list[Figures]:
    """Return the rows in a fixed order, as JSON values."""
    keys = [name.removesuffix("_id") for name in order]
    return sorted(map(_whole, rows), key=lambda row: [str(row[key]) for key in keys])


def _whole(row: Mapping[str, Any]) -> Figures:
    """Return a row as JSON values: ids and sums under the plain name of what they are of."""
    return {name.removesuffix("_sum").removesuffix("_id"): _plain(value) for name, value in row.items()}


def _plain(value: Any) -> Any:
    if isinstance(value, UUID):
        return str(value)
    return value if value is None or isinstance(value, str) else int(value)


def _counted(pairs: Iterable[tuple[str, int]]) -> dict[str, int]:
    return dict(sorted(pairs))


def _marks(facts: QuerySet[Any]) -> dict[str, int]:
    """Return how many records carry each mark."""
    marked = facts.exclude(marks=[]).values_list("marks", flat=True)
    return _counted(Counter(code for marks in marked for code in {mark["code"] for mark in marks}).items())
