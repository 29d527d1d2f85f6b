"""A unit's area-year ledger as it is read: what was used in each year, and how it lies to the stored ceilings."""

from collections.abc import Iterator
from typing import Any

from stewardship.catalog.ceilings import Standing, divided_by, fullest, standings
from stewardship.catalog.models import Limit, Product, Species
from stewardship.places.models import Unit
from stewardship.rules.area_years import Cell


def area_years(unit: Unit, year: int | None = None) -> list[dict[str, Any]]:
    """Return each year of a unit, or one, newest first, as JSON values; three statements, whatever it holds.

    ``used``: for each species and set of products the lines, stems and amounts, with the count of unknowns.
    ``ceilings``: for each stored ceiling what counts towards it, all methods together, and which area that is divided
    by; ``decides`` marks the one that is nearest to full.
    """
    limits = list(Limit.objects.filter(group_id=unit.group_id, what="area_year_ceiling").order_by("id"))
    products = {str(product.id): product for product in Product.objects.filter(group_id=unit.group_id)}
    species = {str(each.id): each for each in Species.objects.filter(group_id=unit.group_id)}
    told = []
    for name, cells in sorted(unit.used_in_years.items(), reverse=True):
        if year is None or name == str(year):
            found = standings(limits, cells, unit.area_mm2, products.values())
            told.append({
                "year": int(name),
                "used": [_used(cell, products, species) for cell in cells],
                "ceilings": list(_ceilings(found, unit)),
            })  # fmt: skip
    return told


def _used(cell: Cell, products: dict[str, Product], species: dict[str, Species]) -> dict[str, Any]:
    named = [
        {**each, "name": products[each["product"]].name, "actives": _actives(each, products[each["product"]])}
        for each in cell["products"]
    ]
    return {**cell, "species_name": str(species[cell["species"]]), "products": named}


def _actives(used: Cell, product: Product) -> list[dict[str, Any]]:
    names = {each["active_ingredient"]: each["name"] for each in product.ingredients}
    return [{**each, "name": names.get(each["active_ingredient"], "")} for each in used["actives"]]


def _ceilings(found: list[Standing], unit: Unit) -> Iterator[dict[str, Any]]:
    decides = fullest(found)
    for each in found:
        yield {
            "limit": str(each.limit.id),
            "active": each.active,
            "state": each.state,
            "used": each.used_text(),
            "unknown": each.used.unknown,
            "ceiling": each.ceiling_text(),
            "percent": each.percent_text(),
            "divided_by": None if unit.area_mm2 is None else divided_by(each.limit, unit.area_mm2),
            "decides": each is decides,
            "wording": each.limit.wording,
            "source": each.limit.source,
        }
