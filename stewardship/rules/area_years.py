"""What was used on a piece of ground in a year: added up line by line, and held against a ceiling for that ground.

A year is a list of cells, one for each species and set of products, as JSON values::

    {"species": id, "lines": 2, "stems": 40, "stems_unknown": 1, "products": [
        {"product": id, "nl": 1200, "ug": 0, "actives": [
            {"active_ingredient": id, "ai_ug": 5, "ai_unknown": 0, "ae_ug": 4, "ae_unknown": 1}]}]}

A liquid product is counted in ``nl``, a dry one in ``ug``. ``…_unknown`` counts the lines in which a figure is not
known: it is never a zero in the sum beside it. A tank mix has a cell of its own, so that its stems count once. The
method is no part of it: a ceiling counts all treatments of a year.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Literal

from stewardship.rules.mixes.amounts import positive
from stewardship.rules.units import UNITS

Measure = Literal["product_nl", "product_ug", "ai_ug", "ae_ug", "stems"]
Cell = dict[str, Any]
Years = dict[str, list[Cell]]
"""Year, as text -> its cells, in a fixed order."""

A_PIECE = {"acre": "an acre", "ha": "a hectare"}
SUBSTANCES = ("ai", "ae")


@dataclass(frozen=True, slots=True)
class Use:
    """What one line used: ``products`` as an application keeps them; ``stems`` None where they were not counted."""

    species: str
    products: Sequence[Mapping[str, Any]]
    stems: int | None


@dataclass(frozen=True, slots=True)
class Sum:
    """What is known of a measure [nL, µg or stems], and the number of lines in which it is not known.

    ``rounded``: how many figures in it were rounded to the base unit, each by no more than one.
    """

    known: int
    unknown: int
    rounded: int = 0

    @property
    def least(self) -> int:
        """Return what it comes to at least, whatever rounding added: nobody is over a ceiling by rounding."""
        return max(self.known - self.rounded, 0)


@dataclass(frozen=True, slots=True)
class CeilingUnit:
    """A unit of ceilings: so much of a measure (``amount``, a unit code or empty for stems) on so much ground."""

    measure: Measure
    amount: str
    area: str
    of: str
    """What is measured, in words: qt of product."""

    @property
    def words(self) -> str:
        """Return the unit in words: qt of product an acre."""
        return f"{self.of} {A_PIECE[self.area]}"

    def ceiling(self, value: Fraction, area_mm2: int) -> Fraction:
        """Return the ceiling for an area [mm²] in the base unit of the measure.

        The area was rounded to a square millimetre, so it is taken as half of one larger: an acre is one acre.
        """
        each = UNITS[self.amount].per_unit if self.amount else Fraction(1)
        return value * each * (area_mm2 + Fraction(1, 2)) / UNITS[self.area].per_unit


CEILING_UNITS: dict[str, CeilingUnit] = {
    "fl_oz_acre": CeilingUnit("product_nl", "fl_oz", "acre", "fl oz of product"),
    "qt_acre": CeilingUnit("product_nl", "qt", "acre", "qt of product"),
    "gal_acre": CeilingUnit("product_nl", "gal", "acre", "gal of product"),
    "l_ha": CeilingUnit("product_nl", "l", "ha", "L of product"),
    "lb_product_acre": CeilingUnit("product_ug", "lb", "acre", "lb of dry product"),
    "kg_product_ha": CeilingUnit("product_ug", "kg", "ha", "kg of dry product"),
    "lb_ai_acre": CeilingUnit("ai_ug", "lb", "acre", "lb a.i."),
    "kg_ai_ha": CeilingUnit("ai_ug", "kg", "ha", "kg a.i."),
    "lb_ae_acre": CeilingUnit("ae_ug", "lb", "acre", "lb a.e."),
    "kg_ae_ha": CeilingUnit("ae_ug", "kg", "ha", "kg a.e."),
    "stems_acre": CeilingUnit("stems", "", "acre", "stems"),
    "stems_ha": CeilingUnit("stems", "", "ha", "stems"),
}
"""Unit of a ceiling -> what it measures. Of weight it says whether it is of product, active ingredient or acid."""


def added(years: Years, year: int, use: Use) -> Years:
    """Return the years with one more line counted in; what was given stays as it is."""
    return _moved(years, year, use, 1)


def taken_out(years: Years, year: int, use: Use) -> Years:
    """Return the years without a line that was counted in; nothing is left of a cell without lines."""
    return _moved(years, year, use, -1)


def together(years: Iterable[Years]) -> Years:
    """Return several pieces' years as one."""
    found: dict[str, dict[Any, Cell]] = {}
    for each in years:
        for year, cells in each.items():
            by_key = found.setdefault(year, {})
            for cell in cells:
                by_key[_key(cell)] = _sum(by_key.get(_key(cell), {}), cell, 1)
    return {year: _ordered(cells) for year, cells in sorted(found.items())}


def total(
    cells: Iterable[Cell],
    measure: Measure,
    *,
    species: str | None = None,
    products: Collection[str] | None = None,
    actives: Collection[str] | None = None,
) -> Sum:
    """Return how much of a measure the cells hold: of one species, of these products, of these actives; None is all.

    Product and stems count where one of the ``actives`` is in the product; ai_ug and ae_ug are of those alone.
    """
    known = unknown = rounded = 0
    for cell in cells:
        if species is not None and cell["species"] != species:
            continue
        meant = [each for each in cell["products"] if products is None or each["product"] in products]
        held = [(each, active) for each in meant for active in each["actives"] if _is_meant(active, actives)]
        if not held:
            continue
        if measure == "stems":
            known, unknown = known + cell["stems"], unknown + cell["stems_unknown"]
        elif measure in ("product_nl", "product_ug"):
            found = {each["product"]: each[measure.removeprefix("product_")] for each, _ in held}
            known, rounded = known + sum(found.values()), rounded + len(found) * cell["lines"]
        else:
            known += sum(active[measure] for _, active in held)
            unknown += sum(active[f"{measure[:2]}_unknown"] for _, active in held)
            rounded += len(held) * cell["lines"]
    return Sum(known, unknown, rounded)


def ratio(used: int, ceiling: Fraction) -> Fraction:
    """Return use over ceiling, both in one base unit: 1 is exactly at it. Raises AmountNotPositive."""
    return Fraction(used) / positive(ceiling, "the ceiling")


def _is_meant(active: Mapping[str, Any], actives: Collection[str] | None) -> bool:
    return actives is None or active["active_ingredient"] in actives


def _moved(years: Years, year: int, use: Use, sign: int) -> Years:
    line = _cell_of(use)
    by_key = {_key(cell): cell for cell in years.get(str(year), ())}
    cell = _sum(by_key.pop(_key(line), {}), line, sign)
    if cell["lines"]:
        by_key[_key(cell)] = cell
    kept = {name: cells for name, cells in years.items() if name != str(year)}
    found = kept | {str(year): _ordered(by_key)} if by_key else kept
    return dict(sorted(found.items()))


def _ordered(by_key: Mapping[Any, Cell]) -> list[Cell]:
    return [by_key[key] for key in sorted(by_key)]


def _cell_of(use: Use) -> Cell:
    return {
        "species": use.species,
        "lines": 1,
        "stems": use.stems or 0,
        "stems_unknown": int(use.stems is None),
        "products": sorted(map(_product_of, use.products), key=lambda each: str(each["product"])),
    }


def _product_of(used: Mapping[str, Any]) -> Cell:
    actives = sorted(map(_active_of, used["actives"]), key=lambda each: str(each["active_ingredient"]))
    amounts = {base: used.get(base) or 0 for base in ("nl", "ug")}
    return {"product": used["product"], **amounts, "actives": actives}


def _active_of(used: Mapping[str, Any]) -> Cell:
    found = {"active_ingredient": used["active_ingredient"]}
    for name in SUBSTANCES:
        found |= {f"{name}_ug": used[f"{name}_ug"] or 0, f"{name}_unknown": int(used[f"{name}_ug"] is None)}
    return found


def _key(cell: Mapping[str, Any]) -> tuple[Any, ...]:
    products = (
        (each["product"], tuple(active["active_ingredient"] for active in each["actives"])) for each in cell["products"]
    )
    return cell["species"], tuple(products)


def _sum(before: Cell, more: Cell, sign: int) -> Cell:
    """Return a cell with the numbers of another of the same key added, or taken out; the first may be empty."""
    found: Cell = {}
    for name, value in more.items():
        if isinstance(value, int):
            found[name] = before.get(name, 0) + sign * value
        elif isinstance(value, list):
            parts = before.get(name) or [{}] * len(value)
            found[name] = [_sum(part, each, sign) for part, each in zip(parts, value, strict=True)]
        else:
            found[name] = value
    return found
