"""Season reports by property and season, and the year's use for the board."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Case, CharField, Count, F, Q, QuerySet, Sum, Value, When
from django.db.models.functions import Coalesce

from stewardship.places.models import Property
from stewardship.reports.models import ReportVersion, Season, SeasonReport
from stewardship.treatments.models import ActiveUse
from stewardship.web.access import Here


@dataclass(frozen=True)
class ReportCell:
    """A property in a season: its report and newest version, where there are any."""

    property: Property
    season: Season
    report: SeasonReport | None
    version: ReportVersion | None


@dataclass(frozen=True)
class ReportRow:
    """A season with the reports of its properties."""

    season: Season
    cells: list[ReportCell]


@dataclass(frozen=True)
class UseFigure:
    """What was used of one active ingredient on one property in one season; None for what no record states."""

    property: Property
    lines: int
    product_nl: int
    dry_product_ug: int
    ai_total_ug: int | None
    ai_unknown: int
    ae_total_ug: int | None
    ae_unknown: int


@dataclass(frozen=True)
class UseSeason:
    """A season's use of one active ingredient, property by property; ``season`` None: days that no season holds."""

    season: Season | None
    figures: list[UseFigure]


@dataclass(frozen=True)
class UseActive:
    """One active ingredient with its use, season by season. Different ones are never added up."""

    id: UUID
    name: str
    form: str
    seasons: list[UseSeason]


def report_table(here: Here) -> list[ReportRow]:
    """Return the seasons, latest first, each with the group's properties and their reports; four statements."""
    places = list(Property.objects.filter(group_id=here.group.id).order_by("name", "id"))
    reports = {(r.season_id, r.property_id): r for r in SeasonReport.objects.filter(group_id=here.group.id)}
    newest = Q(number=F("report__latest"))
    versions = {v.report_id: v for v in ReportVersion.objects.filter(newest, group_id=here.group.id).defer("figures")}
    return [
        ReportRow(season, [_cell(place, season, reports, versions) for place in places]) for season in seasons(here)
    ]


def seasons(here: Here) -> list[Season]:
    """Return the group's seasons, latest first."""
    return list(Season.objects.filter(group_id=here.group.id).order_by("-first_on"))


def uses(here: Here, among: Iterable[Season]) -> QuerySet[ActiveUse]:
    """Return what was used of active ingredients, each row with the id of its season: "" where none holds its date."""
    whens = [
        When(application__on_date__range=(season.first_on, season.last_on), then=Value(str(season.id)))
        for season in among
    ]
    found = ActiveUse.objects.filter(group_id=here.group.id, application__voided_at=None)
    return found.annotate(season=Case(*whens, default=Value(""), output_field=CharField()))


def yearly_use(here: Here) -> list[UseActive]:
    """Return the use of each active ingredient by season and property; three statements."""
    by_id = {str(season.id): season for season in seasons(here)}
    places = {place.id: place for place in Property.objects.filter(group_id=here.group.id)}
    sums = uses(here, by_id.values()).values(
        "active_ingredient_id", "season", name=F("active_ingredient__name"), form=F("active_ingredient__form"),
        place=F("application__property_id"),
    ).annotate(**totals())  # fmt: skip
    found: dict[UUID, dict[str, list[UseFigure]]] = {}
    named: dict[UUID, tuple[str, str]] = {}
    for row in sums.order_by("name", "form", "active_ingredient_id", "application__property__name", "place"):
        named[row["active_ingredient_id"]] = row["name"], row["form"]
        figures = found.setdefault(row["active_ingredient_id"], {}).setdefault(row["season"], [])
        figures.append(UseFigure(places[row["place"]], **{name: row[name] for name in totals()}))
    order = [*by_id, ""]
    return [
        UseActive(id, *named[id], [UseSeason(by_id.get(key), by_season[key]) for key in order if key in by_season])
        for id, by_season in found.items()
    ]


def totals() -> dict[str, Any]:
    """Return the sums of one figure, and beside each how many of its records do not state it."""
    return {
        "lines": Count("application_id", distinct=True),
        "product_nl": Coalesce(Sum("product_nl"), 0),
        "dry_product_ug": Coalesce(Sum("dry_product_ug"), 0),
        "ai_total_ug": Sum("ai_ug"),
        "ai_unknown": Count("id", filter=Q(ai_ug=None)),
        "ae_total_ug": Sum("ae_ug"),
        "ae_unknown": Count("id", filter=Q(ae_ug=None)),
    }


def _cell(
    place: Property, season: Season, reports: dict[tuple[UUID, UUID], SeasonReport], versions: dict[UUID, ReportVersion]
) -> ReportCell:
    report = reports.get((season.id, place.id))
    return ReportCell(place, season, report, versions.get(report.id) if report else None)
