"""A season reckoned a second time, from what people entered: plain Python over rows, none of the product's arithmetic.

Amounts are read from their text, units from the table below, dates from clock and zone; a batch is drawn on line by
line, the label's strengths are turned into weights here. Only the share of acid in an active ingredient is taken as it
is kept: chemistry has tests of its own.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from fractions import Fraction
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from stewardship.catalog.models import ActiveIngredient, Product
from stewardship.treatments.models import Application, Batch, Lot, Session, StockMovement, WorkLine
from stewardship.workdays.models import Attendance, WorkDay

Row = dict[str, Any]

GALLON_NL = 3_785_411_784
"""NIST Handbook 44, Appendix C: a US gallon is 231 cubic inches, an inch 25.4 mm."""
POUND_UG = 453_592_370
"""The same: a pound is 0.453 592 37 kg, so 453,592,370 µg."""
VOLUME_NL = {
    "gal": Fraction(GALLON_NL),
    "qt": Fraction(GALLON_NL, 4),
    "fl_oz": Fraction(GALLON_NL, 128),
    "ml": Fraction(10**6),
}
FOOT_MM2 = Fraction("304.8") ** 2
AREA_MM2 = {"acre": 43_560 * FOOT_MM2, "sq_ft": FOOT_MM2, "m2": Fraction(10**6)}
ZONE = ZoneInfo("America/Chicago")


@dataclass
class Use:
    """An application that counts, with what it used: mix, product's id -> nL, (active's id, product's id) -> µg."""

    line: Row
    at: datetime
    mix_nl: int = 0
    product_nl: dict[UUID, int] = field(default_factory=dict)
    ai_ug: dict[tuple[UUID, UUID], int | None] = field(default_factory=dict)
    ae_ug: dict[tuple[UUID, UUID], int | None] = field(default_factory=dict)


@dataclass(frozen=True)
class Span:
    """A property from one local date to another, both included."""

    property_id: UUID
    first_on: str
    last_on: str

    def holds(self, row: Row, at: datetime) -> bool:
        """Tell whether something done there at that time belongs to it."""
        here = row["property_id"] == self.property_id
        return here and self.first_on <= at.astimezone(ZONE).date().isoformat() <= self.last_on


def rows(model: Any) -> list[Row]:
    """Return the rows of a table."""
    return list(model.objects.values())


def living(found: Iterable[Row]) -> list[Row]:
    """Return the rows that were not voided."""
    return [row for row in found if row["voided_at"] is None]


def volume_nl(value: str, unit: str) -> int:
    """Return a volume as entered in whole nanolitres, half to even."""
    return round(Fraction(value) * VOLUME_NL[unit])


def uses() -> list[Use]:
    """Return every application that counts, with its share of what its batch was made of."""
    begun = {session["id"]: session["started_at"] for session in rows(Session)}
    by_batch = defaultdict(list)
    for line in sorted(living(rows(Application)), key=lambda line: line["entered_at"]):
        by_batch[line["batch_id"]].append(Use(line, begun[line["session_id"]]))
    contents = _contents()
    for batch in rows(Batch):
        _draw(batch, by_batch[batch["id"]], contents)
    return [use for drawn in by_batch.values() for use in drawn]


def _draw(batch: Row, drawn: list[Use], contents: dict[UUID, Row]) -> None:
    """Take the lines out of a batch, one after another; the one that empties it takes all product left."""
    total = left = volume_nl(batch["mix_value"], batch["mix_unit"])
    poured = {
        UUID(part["product"]): volume_nl(part["volume"]["value"], part["volume"]["unit"]) for part in batch["parts"]
    }
    remaining = dict(poured)
    for use in drawn:
        wanted = volume_nl(use.line["mix_value"], use.line["mix_unit"])
        mix = use.mix_nl = min(wanted, left)
        assert wanted - mix <= len(drawn), "more was taken than the batch held"
        for product, nl in poured.items():
            share = remaining[product] if mix == left else round(Fraction(nl * mix, total))
            use.product_nl[product] = share
            remaining[product] -= share
            for active, (ai, ae) in contents[product].items():
                use.ai_ug[active, product] = None if ai is None else round(share * ai)
                use.ae_ug[active, product] = None if ae is None else round(share * ae)
        left -= mix


def _contents() -> dict[UUID, Row]:
    """Return product -> active -> µg in a nL of product: active ingredient and acid, None where nothing tells it."""
    acid_share = {row["id"]: row["ae_per_ai"] for row in rows(ActiveIngredient)}
    contents: dict[UUID, Row] = {}
    for product in rows(Product):
        contents[product["id"]] = {}
        for stated in product["ingredients"]:
            active = UUID(stated["active_ingredient"])
            share = Fraction(acid_share[active]) if acid_share[active] else None
            ai, ae = _weight(stated["ai"]), _weight(stated["ae"])
            if ai is None and ae is not None and share:
                ai = ae / share
            elif ae is None and ai is not None and share:
                ae = ai * share
            contents[product["id"]][active] = ai, ae
    return contents


def stock() -> dict[UUID, tuple[int, int]]:
    """Return for each lot what is left of it [nL], and how much was taken beyond what it was known to hold [nL].

    Everything is done again in the order in which it was entered, from its text; what a lot lacks is found in it.
    """
    left = {lot["id"]: volume_nl(lot["received_value"], lot["received_unit"]) for lot in living(rows(Lot))}
    beyond = dict.fromkeys(left, 0)
    for _, lot, what, nl in sorted(_stocked(), key=lambda each: each[0]):
        if what == "count":
            left[lot] = nl
        elif what in ("receipt", "return"):
            left[lot] += nl
        else:
            beyond[lot] += max(0, nl - left[lot])
            left[lot] = max(0, left[lot] - nl)
    return {lot: (left[lot], beyond[lot]) for lot in left}


def _stocked() -> Iterator[tuple[datetime, UUID, str, int]]:
    """Give when it was entered, the lot, what happened and how much [nL], draws among the rest."""
    for moved in living(rows(StockMovement)):
        if moved["volume_value"] is not None:
            nl = volume_nl(moved["volume_value"], moved["volume_unit"])
            yield moved["entered_at"], moved["lot_id"], moved["what"], nl
    for batch in living(rows(Batch)):
        for drawn in (each for part in batch["parts"] for each in part["lots"]):
            yield batch["entered_at"], UUID(drawn["lot"]), "draw", volume_nl(drawn["value"], drawn["unit"])


def _weight(stated: Row | None) -> Fraction | None:
    """Return a weight in a volume as the label prints it, in µg for each nL (the same as g for each mL)."""
    if stated is None:
        return None
    ug_per_nl = {"lb_gal": Fraction(POUND_UG, GALLON_NL), "g_l": Fraction(1, 1000)}
    return Fraction(stated["value"]) * ug_per_nl[stated["unit"]]


def products(span: Span) -> dict[str, tuple[int, int]]:
    """Return product's id -> number of lines, nL."""
    found: dict[str, list[int]] = defaultdict(list)
    for use in used_in(span):
        for product, nl in use.product_nl.items():
            found[str(product)].append(nl)
    return {product: (len(amounts), sum(amounts)) for product, amounts in found.items()}


def tank_mixes(span: Span) -> int:
    """Return the number of batches of two products, mixed on a work day of the span."""
    days = {day["id"]: day["property_id"] for day in rows(WorkDay)}
    return sum(
        len(batch["parts"]) > 1 and span.holds({"property_id": days.get(batch["work_day_id"])}, batch["mixed_at"])
        for batch in rows(Batch)
    )


def actives(span: Span, *, by: tuple[str, ...] = ()) -> dict[tuple[str, ...], tuple[int, ...]]:
    """Return (``by``, active's id) -> lines, nL of product, a.i. [µg], lines without, a.e. [µg], lines without."""
    found: dict[tuple[str, ...], list[tuple[int, int | None, int | None]]] = defaultdict(list)
    for use in used_in(span):
        for (active, product), ai in use.ai_ug.items():
            key = (*(str(use.line[name]) for name in by), str(active))
            found[key].append((use.product_nl[product], ai, use.ae_ug[active, product]))
    return {key: _summed(amounts) for key, amounts in found.items()}


def _summed(amounts: list[tuple[int, int | None, int | None]]) -> tuple[int, ...]:
    nl, ai, ae = zip(*amounts, strict=True)
    return len(amounts), sum(nl), *_known(ai), *_known(ae)


def _known(values: Iterable[int | None]) -> tuple[int, int]:
    stated = list(values)
    return sum(value for value in stated if value is not None), stated.count(None)


def treatments(span: Span) -> dict[tuple[str, str], tuple[int, ...]]:
    """Return (species' id, method) -> what ``_worked`` says, then the mix [nL]."""
    found = used_in(span)
    mix_nl = {use.line["id"]: use.mix_nl for use in found}
    return {
        key: (*_worked(lines), sum(mix_nl[line["id"]] for line in lines))
        for key, lines in _grouped(use.line for use in found).items()
    }


def by_hand(span: Span) -> dict[tuple[str, str], tuple[int, ...]]:
    """Return (species' id, method) -> what ``_worked`` says, then person-minutes and lines without."""
    lines = [line for line in living(rows(WorkLine)) if span.holds(line, line["done_at"])]
    return {
        key: (*_worked(found), *_known(line["minutes"] for line in found)) for key, found in _grouped(lines).items()
    }


def _grouped(lines: Iterable[Row]) -> dict[tuple[str, str], list[Row]]:
    found: dict[tuple[str, str], list[Row]] = defaultdict(list)
    for line in lines:
        found[str(line["species_id"]), line["method"]].append(line)
    return found


def _worked(lines: list[Row]) -> tuple[int, ...]:
    """Return lines, follow-ups, lines that do not say, units, stems, lines without, area [mm²], lines without."""
    again = [line["is_follow_up"] for line in lines]
    areas = [round(Fraction(v) * AREA_MM2[u]) if v else None for v, u in _areas(lines)]
    units = {line["unit_id"] for line in lines}
    stems = _known(line["stems"] for line in lines)
    return len(lines), again.count(True), again.count(None), len(units), *stems, *_known(areas)


def _areas(lines: list[Row]) -> Iterator[tuple[Any, Any]]:
    return ((line["area_value"], line["area_unit"]) for line in lines)


def used_in(span: Span) -> list[Use]:
    """Return the applications that count of a property and stretch of dates."""
    return [use for use in uses() if span.holds(use.line, use.at)]


def sessions(span: Span) -> int:
    """Return how many sessions there were."""
    return sum(span.holds(row, row["started_at"]) for row in living(rows(Session)))


def days(span: Span) -> dict[str, int]:
    """Return state -> number of work days."""
    found: dict[str, int] = defaultdict(int)
    for day in rows(WorkDay):
        if day["property_id"] == span.property_id and span.first_on <= day["on_date"].isoformat() <= span.last_on:
            found[day["state"]] += 1
    return dict(found)


def people(span: Span) -> dict[str, tuple[int, int, int, int]]:
    """Return age class -> people, attendances, known time [s], attendances without a check-out."""
    place = {day["id"]: day for day in rows(WorkDay)}
    found: dict[str, list[Row]] = defaultdict(list)
    for came in living(rows(Attendance)):
        if span.holds(place[came["work_day_id"]], came["in_at"]):
            found[came["age_class"]].append(came)
    return {age_class: _time(came) for age_class, came in found.items()}


def _time(came: list[Row]) -> tuple[int, int, int, int]:
    seconds = [None if row["out_at"] is None else int((row["out_at"] - row["in_at"]).total_seconds()) for row in came]
    return len({row["member_id"] for row in came}), len(came), *_known(seconds)
