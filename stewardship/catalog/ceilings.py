"""What was used on a piece of ground in a year, held against each stored ceiling that it counts towards."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal
from uuid import UUID

from stewardship.catalog.comparing import Finding
from stewardship.catalog.models import Limit, Product
from stewardship.rules.area_years import CEILING_UNITS, Cell, Sum, ratio, total
from stewardship.rules.decimals import exact
from stewardship.rules.figures import rounded_text
from stewardship.rules.limits import WORDS
from stewardship.rules.mixes.ceilings import NEAR, highest_ratio
from stewardship.rules.units import UNITS, shown

State = Literal["over", "near", "not_comparable", "within"]


@dataclass(frozen=True, slots=True)
class Standing:
    """How the use of one active ingredient lies to one ceiling: all methods, crews and products together.

    ``ceiling`` in the base unit of its measure, for the whole area; it and ``ratio`` are None without an area.
    """

    limit: Limit
    active: str
    used: Sum
    ceiling: Fraction | None
    ratio: Fraction | None

    @property
    def state(self) -> State:
        """Return whether the use is over the ceiling, near it, not known well enough to say, or within."""
        if self.ratio is not None and self.ratio > 1:
            return "over"
        if self.ratio is not None and self.ratio >= NEAR:
            return "near"
        return "not_comparable" if self.ratio is None or self.used.unknown else "within"

    def used_text(self) -> str:
        """Return what is known to have been used, in the ceiling's own unit."""
        unit = CEILING_UNITS[self.limit.unit]
        if not unit.amount:
            return f"{self.used.known} stems"
        return f"{shown(self.used.known, unit.amount)} {unit.of} with {self.active}"

    def ceiling_text(self) -> str:
        """Return the ceiling as it is stated."""
        return f"{self.limit.high or self.limit.low} {CEILING_UNITS[self.limit.unit].words}"

    def percent_text(self) -> str | None:
        """Return the ratio as a per cent for the eye: rounded, but never to 100 from beyond it."""
        if self.ratio is None:
            return None
        percent = 100 * self.ratio
        digits = next((n for n in range(3, 12) if percent <= 100 or Fraction(rounded_text(percent, n)) > 100), 12)
        return rounded_text(percent, digits)


def standings(
    limits: Iterable[Limit], cells: Sequence[Cell], area_mm2: int | None, products: Iterable[Product]
) -> list[Standing]:
    """Return how the year's cells lie to each ceiling that counts any of them, in the order of the limits.

    A ceiling counts one active ingredient at a time, in whatever form and product, by whatever method; one that names a
    species, a product or a formulation counts what was used of that or on that alone.
    """
    known = {str(product.id): product for product in products}
    found = []
    for limit in limits:
        if limit.what == "area_year_ceiling" and limit.high and not limit.retired_at:
            found += list(_of_ceiling(limit, cells, area_mm2, known))
    return found


def _of_ceiling(
    limit: Limit, cells: Sequence[Cell], area_mm2: int | None, products: Mapping[str, Product]
) -> Iterator[Standing]:
    unit, meant = CEILING_UNITS[limit.unit], {id for id, product in products.items() if _is_meant(limit, product)}
    species = str(limit.species_id) if limit.species_id else None
    for name, ids in sorted(_actives(limit, cells, meant, products).items()):
        used = total(cells, unit.measure, species=species, products=meant, actives=ids)
        if not used.known and not used.unknown:
            continue
        ceiling = None if area_mm2 is None else unit.ceiling(exact(limit.high), area_mm2)
        yield Standing(limit, name, used, ceiling, None if ceiling is None else ratio(used.least, ceiling))


def _is_meant(limit: Limit, product: Product) -> bool:
    return limit.product_id in (None, product.id) and limit.formulation in ("", product.formulation)


def _actives(
    limit: Limit, cells: Sequence[Cell], meant: set[str], products: Mapping[str, Product]
) -> dict[str, set[str]]:
    """Return the active ingredients that the ceiling counts and the cells hold: name -> ids of its forms."""
    found: dict[str, set[str]] = {}
    for id in {each["product"] for cell in cells for each in cell["products"]} & meant:
        for each in products[id].ingredients:
            name = each["name"].strip().lower()
            if limit.active.strip().lower() in ("", name):
                found.setdefault(name, set()).add(each["active_ingredient"])
    return found


def concerning(found: Iterable[Standing], *, species_id: UUID | None, actives: set[str]) -> list[Standing]:
    """Return those that work on a species with these actives (names, lower case) counts towards."""
    return [each for each in found if each.limit.species_id in (None, species_id) and each.active in actives]


def fullest(found: Sequence[Standing]) -> Standing | None:
    """Return the standing that decides: the highest ratio, else the first that cannot be compared; None of none."""
    by_key = {str(place): each for place, each in enumerate(found) if each.ceiling is not None}
    if by_key:
        used = {key: each.used.least for key, each in by_key.items()}
        key, _ = highest_ratio(used, {key: each.ceiling for key, each in by_key.items() if each.ceiling is not None})
        if by_key[key].state in ("over", "near"):
            return by_key[key]
    unknown = next((each for each in found if each.state == "not_comparable"), None)
    return unknown or next(iter(found), None)


CODES: dict[State, str] = {
    "over": "over_ceiling",
    "near": "near_ceiling",
    "not_comparable": "ceiling_not_comparable",
}


def against_ceilings(found: Sequence[Standing], *, year: int, area_mm2: int | None) -> Iterator[Finding]:
    """Find that the fullest ceiling is passed, or nearly, or cannot be compared; with the area that it divides by."""
    decides = fullest(found)
    if decides is None or decides.state not in CODES:
        return
    detail = f"{_lead(decides, year, area_mm2)} {decides.limit.wording}"
    yield Finding(CODES[decides.state], detail, decides.limit.source, decides.limit)


def _lead(decides: Standing, year: int, area_mm2: int | None) -> str:
    used, ceiling = decides.used_text(), decides.ceiling_text()
    if area_mm2 is None:
        return f"A stored ceiling is {ceiling} in a year, and the area of this unit is not known: {used} in {year}."
    divided = divided_by(decides.limit, area_mm2)
    if decides.state == "not_comparable":
        lacking = f"how much was used is not known in {decides.used.unknown} of the year's figures"
        return f"A stored ceiling is {ceiling} in a year, and {lacking}: at least {used} in {year}, {divided}."
    words = WORDS["above"].capitalize() if decides.state == "over" else "Near a stored limit"
    return f"{words}: {used} in {year}, {divided}, is {decides.percent_text()} % of a ceiling of {ceiling} in a year."


def divided_by(limit: Limit, area_mm2: int) -> str:
    """Return which area the use is divided by, in words: it is the unit's whole area."""
    area = CEILING_UNITS[limit.unit].area
    size = round(Fraction(area_mm2) / UNITS[area].per_unit * 100)
    return f"divided by the unit's {size // 100}.{size % 100:02d} {area}"
