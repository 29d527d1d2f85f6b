"""What was used, added up by any of its sides, with the count of records behind each sum and of unknowns in it.

A line of a tank mix has several products, and a product may have several active ingredients. Where rows are split by
these, such a line stands behind several rows. Each row tells its own product and active ingredients, but mix, stems and
area of the line belong to all of those rows together: each tells them apart, as ``shared``, and ``shared`` of the whole
answer counts them once. Hence, for every sum and count but ``sessions`` (distinct ones): rows + shared = totals.

Active ingredients are never summed into one figure: each stands by itself, in one of its forms.
"""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db.models import Count, Exists, OuterRef, Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from stewardship.journal.models import Book
from stewardship.reports import sides
from stewardship.reports.models import Season
from stewardship.reports.sides import Asked
from stewardship.treatments.models import ActiveUse, Application, HowKnown, ProductUse

Figures = dict[str, Any]
Rows = dict[tuple[Any, ...], Figures]

HOW_KNOWN = tuple(HowKnown.values)
UNKNOWN = {"stems": "stems_unknown", "area_mm2": "area_unknown", "ai_ug": "ai_unknown", "ae_ug": "ae_unknown"}
"""What a record need not state -> the count of records that do not."""
PRODUCT = ("product_nl", "dry_product_ug")
"""Liquid product by volume, dry product by weight; nothing adds the two."""
SUMS = (
    "lines", "product_nl", "dry_product_ug", "mix_nl", "stems", "stems_unknown", "area_mm2", "area_unknown",
    "first_area_mm2", "follow_up_area_mm2", "first_treatments", "follow_ups", "follow_up_unknown", *HOW_KNOWN,
)  # fmt: skip
"""What rows and shared add up to."""


def use_summary(group_id: UUID, asked: Asked, *, most: int) -> Figures:
    """Return rows, what several of them share, totals, and the number of the book that they rest on.

    At most ``most + 1`` rows: one more than ``most`` tells that there are more. Call it within a ``snapshot()``. Eight
    statements, nine where rows are split by product or active ingredient, whatever the records. What is voided counts
    nowhere; an amount that no record behind a sum states is None, never nothing.
    """
    book = Book.objects.get(group_id=group_id)
    uses = _Uses(group_id, asked)
    totals, rows = uses.totals(), uses.rows(most)
    shared = {name: totals[name] - sum(row[name] for row in rows) for name in SUMS}
    return {
        "results": [_told(row) | {"shared": _told(row["shared"])} for row in rows],
        "shared": _told(shared if rows else dict.fromkeys(SUMS, 0)),
        "totals": _told(totals),
        "held": book.held,
        "head": book.head,
    }


class _Uses:
    """The lines, products and active ingredients that are asked for, and sums over them."""

    def __init__(self, group_id: UUID, asked: Asked) -> None:
        self.by = asked.by
        self.seasons = list(Season.objects.filter(group_id=group_id).order_by("first_on", "id"))
        of_line = Q(sides.lines_asked_for(asked, self.seasons, "application__"), group_id=group_id)
        of_line &= Q(application__group_id=group_id)
        picked = sides.uses_asked_for(asked)
        self.of_use = ActiveUse.objects.filter(group_id=group_id, **picked)
        self.actives = self.of_use.filter(of_line)
        self.products = ProductUse.objects.filter(of_line)
        self.lines = Application.objects.filter(sides.lines_asked_for(asked, self.seasons), group_id=group_id)
        if picked:
            self.products = self.products.filter(Exists(self.of_use.filter(**_same("application_id", "product_id"))))
            self.lines = self.lines.filter(id__in=self.actives.values("application_id"))

    # -- what is told --------------------------------------------------------------------------------

    def totals(self) -> Figures:
        """Return the sums over everything, each line once."""
        found = self.lines.aggregate(**_line_sums(""))
        found |= self.products.aggregate(**_PRODUCT_SUMS)
        return _whole(found) | {"active_ingredients": self._actives(()).get((), [])}

    def rows(self, most: int) -> list[Figures]:
        """Return the sums by the sides that are asked for, in a fixed order; what other rows tell too stands apart."""
        if not self.by:
            return []
        found = self._lines(most)
        shared, products, actives = self._shared_lines(), self._products(), self._actives(self.by)
        ordered = sorted(found, key=lambda key: sides.order(self.by, found[key], self.seasons))
        return [self._row(found[key], shared.get(key), products[key], actives[key]) for key in ordered]

    def _row(self, line: Figures, shared: Figures | None, product: Figures, actives: list[Figures]) -> Figures:
        apart = dict.fromkeys(SUMS, 0) | (shared or {}) | {base: product[f"shared_{base}"] for base in PRODUCT}
        whole = line | {base: product[base] for base in PRODUCT}
        return {
            "keys": {side: sides.told(side, line, self.seasons) for side in self.by},
            "sessions": line["sessions"],
            **{name: whole[name] - apart[name] for name in SUMS},
            "shared": {name: apart[name] for name in SUMS},
            "active_ingredients": actives,
        }

    # -- sums by key ---------------------------------------------------------------------------------

    def _lines(self, most: int) -> Rows:
        rows, at = self._each_line_once()
        keys = sides.keys(self.by, self.seasons, at)
        found = rows.values(**keys, **sides.names(self.by, at)).annotate(**_line_sums(at))
        return _by_key(keys, found[: most + 1])

    def _shared_lines(self) -> Rows:
        """Return the same of lines that stand behind several rows; names are not told again."""
        if not sides.OF_USE & set(self.by):
            return {}
        rows, at = self._each_line_once()
        keys = sides.keys(self.by, self.seasons, at)
        rows = rows.filter(application_id__in=self._in_several_rows())
        return _by_key(keys, rows.values(**keys).annotate(**_line_sums(at)))

    def _each_line_once(self) -> tuple[QuerySet[Any], str]:
        """Return rows of which each line has one for each key that it stands behind, and the way to the line."""
        if "active_ingredient" not in self.by:
            return (self.products, "application__") if "product" in self.by else (self.lines, "")
        if "product" in self.by:
            return self.actives, "application__"
        twin = _same("application_id", "active_ingredient_id")
        earlier = self.of_use.filter(**twin, product_id__lt=OuterRef("product_id"))
        return self.actives.filter(~Exists(earlier)), "application__"

    def _in_several_rows(self) -> QuerySet[Any, Any]:
        """Return the ids of lines that have several products, or active ingredients, or pairs of the two."""
        uses: QuerySet[Any] = self.actives if "active_ingredient" in self.by else self.products
        each = "id" if set(self.by) >= sides.OF_USE else f"{next(iter(sides.OF_USE & set(self.by)))}_id"
        several = uses.values("application_id").annotate(each=Count(each, distinct=True)).filter(each__gt=1)
        return several.values("application_id")

    def _products(self) -> Rows:
        """Return the product of each key, and how much of it other active ingredients carry it for too."""
        keys = sides.keys(self.by, self.seasons, "application__")
        if "active_ingredient" not in self.by:
            found = self.products.values(**keys).annotate(**_PRODUCT_SUMS)
            none = {f"shared_{base}": 0 for base in PRODUCT}
            return {key: row | none for key, row in _by_key(keys, found).items()}
        others = self.of_use.filter(**_same("application_id", "product_id")).exclude(id=OuterRef("id"))
        shared = {f"sum_shared_{base}": Coalesce(Sum(base, filter=Exists(others)), 0) for base in PRODUCT}
        found = self.actives.values(**keys).annotate(**_PRODUCT_SUMS, **shared)
        return _by_key(keys, found)

    def _actives(self, by: tuple[str, ...]) -> dict[tuple[Any, ...], list[Figures]]:
        """Return for each key its active ingredients, each in one of its forms, by name."""
        keys = sides.keys(by, self.seasons, "application__")
        by_active = sides.keys(["active_ingredient"], [])
        names = sides.names(["active_ingredient"])
        found: dict[tuple[Any, ...], list[Figures]] = {}
        for row in self.actives.values(**keys | by_active, **names).annotate(**_ACTIVE_SUMS):
            found.setdefault(tuple(row[key] for key in keys), []).append(_active(row))
        return {key: sorted(rows, key=lambda row: (row["name"], row["form"], row["id"])) for key, rows in found.items()}


def _same(*columns: str) -> dict[str, OuterRef]:
    return {column: OuterRef(column) for column in columns}


def _by_key(keys: Mapping[str, Any], found: QuerySet[Any, Any]) -> Rows:
    return {tuple(row[key] for key in keys): _whole(row) for row in found}


def _line_sums(at: str) -> dict[str, Any]:
    """Return what is summed over lines; ``at`` is the way to them."""
    counted = {
        "stems_unknown": {"stems": None}, "area_unknown": {"area_mm2": None},
        "first_treatments": {"is_follow_up": False}, "follow_ups": {"is_follow_up": True},
        "follow_up_unknown": {"is_follow_up": None}, **{how: {"how_known": how} for how in HOW_KNOWN},
    }  # fmt: skip
    return {
        "lines": Count("id"),
        "sessions": Count(f"{at}session_id", distinct=True),
        **{f"sum_{name}": Coalesce(Sum(f"{at}{name}"), 0) for name in ("mix_nl", "stems", "area_mm2")},
        "sum_first_area_mm2": _area_of(at, is_follow_up=False),
        "sum_follow_up_area_mm2": _area_of(at, is_follow_up=True),
        **{
            name: Count("id", filter=Q(**{f"{at}{column}": value for column, value in what.items()}))
            for name, what in counted.items()
        },
    }


def _area_of(at: str, *, is_follow_up: bool) -> Coalesce:
    """Return the sum of areas treated for the first time, or again: ground that was treated twice is one area."""
    return Coalesce(Sum(f"{at}area_mm2", filter=Q(**{f"{at}is_follow_up": is_follow_up})), 0)


_PRODUCT_SUMS = {f"sum_{base}": Coalesce(Sum(base), 0) for base in PRODUCT}
_ACTIVE_SUMS = {
    "lines": Count("application_id", distinct=True),
    **_PRODUCT_SUMS,
    **{f"sum_{name}": Coalesce(Sum(name), 0) for name in ("ai_ug", "ae_ug")},
    **{UNKNOWN[name]: Count("id", filter=Q(**{name: None})) for name in ("ai_ug", "ae_ug")},
    "uses": Count("id"),
}


def _active(row: Mapping[str, Any]) -> Figures:
    """Return the sums of an active ingredient; an amount that no label states is unknown."""
    sums = _whole(row)
    told = sides.told("active_ingredient", row, []) | {name: sums[name] for name in ("lines", *PRODUCT)}
    for name in ("ai_ug", "ae_ug"):
        unknown = sums[UNKNOWN[name]]
        told |= {name: None if unknown == sums["uses"] else sums[name], UNKNOWN[name]: unknown}
    return told


def _whole(row: Mapping[str, Any]) -> Figures:
    """Return a row with its sums as whole numbers, under the names of their columns: PostgreSQL makes decimals."""
    sums = {name.removeprefix("sum_"): int(value) for name, value in row.items() if name.startswith("sum_")}
    return {name: value for name, value in row.items() if not name.startswith("sum_")} | sums


def _told(sums: Figures) -> Figures:
    """Return sums as they are told: None where no record behind them states the amount; how they are known apart."""
    told = {name: value for name, value in sums.items() if name not in HOW_KNOWN}
    told["how_known"] = {how: sums[how] for how in HOW_KNOWN}
    for name in ("stems", "area_mm2"):
        if 0 < sums["lines"] == sums[UNKNOWN[name]]:
            told[name] = None
    return told
