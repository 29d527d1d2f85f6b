"""The books are held against one another: stock, batches, lines and ledgers of a whole group, in one pass.

Everything is read from one state of the book with a fixed number of statements, whatever the group holds. A finding is
a question to a coordinator: it names the record, by how much it is off and who wrote what stands behind it. Nothing is
put right here, and nothing is linked: a container of unknown contents only stands beside batches that lack as much.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Q

from stewardship.places.models import Unit
from stewardship.reports.accounts import Accounts, read_accounts
from stewardship.rules.area_years import Years, added
from stewardship.rules.measures import amount_of, base_of
from stewardship.rules.screening import LIKE_AMOUNT
from stewardship.rules.units import told
from stewardship.treatments.models import Batch, Container, Leftover, Lot, LotDraw
from stewardship.treatments.services.area_years import Days, days_moved, use_of
from stewardship.treatments.services.screening import other_of
from stewardship.treatments.services.top_ups import poured_of

MOST_BEHIND = 20
"""How many of the records behind a finding are named; the balance of the batch names them all."""

Finding = dict[str, Any]


@dataclass(frozen=True)
class Books:
    """Everything that is held against one another: living records of one group."""

    accounts: Accounts
    lots: list[Lot]
    drawn: dict[tuple[UUID, UUID, UUID], int]
    """(batch, lot, product) -> what was drawn, in the lot's base unit."""
    containers: list[Container]
    units: list[Unit]


def read(group_id: UUID) -> Books:
    """Read the books: one statement a type."""
    living: dict[str, Any] = {"group_id": group_id, "voided_at": None}
    draws = LotDraw.objects.filter(Q(nl__gt=0) | Q(ug__gt=0), group_id=group_id)
    return Books(
        accounts=read_accounts(group_id),
        lots=list(Lot.objects.filter(**living).order_by("id")),
        drawn={(draw.batch_id, draw.lot_id, draw.product_id): draw.amount for draw in draws},
        containers=list(Container.objects.filter(**living).order_by("id")),
        units=list(Unit.objects.filter(group_id=group_id).order_by("id")),
    )


def reconciled(books: Books) -> Finding:
    """Return every finding, what was looked at, and each unknown container with the batches that lack as much."""
    findings = [finding for find in FINDERS for finding in find(books)]
    parts = [part for batch in books.accounts.batches for part in batch.parts if poured_of(part)]
    return {
        "findings": findings,
        "unknown_containers": [_unknown(leftover, findings) for leftover in books.accounts.leftovers[None]],
        "batches": len(books.accounts.batches),
        "lines": sum(map(len, books.accounts.lines.values())),
        "lots": len(books.lots),
        "units": len(books.units),
        "parts_without_lot": sum(not part["lots"] for part in parts),
    }


# -- batches ---------------------------------------------------------------------------------------


def _off_batches(books: Books) -> Iterator[Finding]:
    """Find batches whose mix is not what was applied, left, disposed and lost, within the tolerance."""
    for batch in books.accounts.batches:
        if off := books.accounts.off(batch):
            yield _of_batch(books, off.code, batch, off.by_nl, off.detail)


def _wrong_columns(books: Books) -> Iterator[Finding]:
    """Find batches whose columns are not what lines and other batches took."""
    poured: dict[UUID, list[tuple[int, list[int]]]] = defaultdict(list)
    for child in books.accounts.batches:
        for each in child.poured_from:
            poured[UUID(each["batch"])].append((each["volume"]["nl"], list(map(amount_of, each["products"]))))
    for batch in books.accounts.batches:
        draws = [(line.mix_nl, list(map(amount_of, line.products))) for line in books.accounts.lines[batch.id]]
        moved = [movement for movement in books.accounts.movements[batch.id] if movement.taken_nl]
        draws += [(movement.taken_nl, list(map(amount_of, movement.products))) for movement in moved]
        draws += poured[batch.id]
        used_nl = sum(nl for nl, _ in draws)
        used_parts = [sum(parts[place] for _, parts in draws) for place in range(len(batch.parts))]
        if (batch.used_nl, batch.used_parts) != (used_nl, used_parts):
            off, unit = batch.used_nl - used_nl, batch.mix_unit
            detail = f"By the book {told(batch.used_nl, unit)} were taken; its lines come to {told(used_nl, unit)}."
            yield _of_batch(books, "batch_column_wrong", batch, off, detail)


def _off_parts(books: Books) -> Iterator[Finding]:
    """Find products of which another amount was drawn from lots than was poured into the batch."""
    drawn: dict[tuple[UUID, str], int] = defaultdict(int)
    for (batch_id, _, product_id), amount in books.drawn.items():
        drawn[batch_id, str(product_id)] += amount
    for batch in books.accounts.batches:
        for part in batch.parts:
            if not part["lots"]:
                continue
            unit, poured = part["lots"][0]["unit"], amount_of(poured_of(part) or {})
            off = drawn[batch.id, part["product"]] - poured
            if abs(off) > len(part["lots"]):
                detail = (
                    f"{told(poured, unit)} of {part['name']} went into this batch; "
                    f"{told(poured + off, unit)} were drawn from lots."
                )
                found = _of_batch(books, "part_differs_from_lots", batch, None, detail)
                yield found | {f"by_{base_of(part)}": off}


def _of_batch(books: Books, code: str, batch: Batch, by_nl: int | None, detail: str) -> Finding:
    stated = [_behind("applied", line, line.mix_nl) for line in books.accounts.lines[batch.id]]
    stated += [_behind(each.what, each, each.taken_nl) for each in books.accounts.movements[batch.id] if each.taken_nl]
    stated += [_behind("measured", left, left.volume_nl) for left in books.accounts.leftovers[batch.id]]
    found = _finding(code, batch, by_nl, batch.mix_unit, detail)
    return found | {"behind": stated[:MOST_BEHIND], "more_behind": max(0, len(stated) - MOST_BEHIND)}


def _behind(what: str, record: Any, nl: int) -> Finding:
    return {
        "what": what,
        "type": record.kind,
        "id": str(record.id),
        "nl": nl,
        "entered_by": str(record.entered_by_id),
    }


def _not_shared(books: Books) -> Iterator[Finding]:
    """Find bottles of which something was used that stands in no line."""
    for bottle in books.containers:
        if bottle.unshared_nl:
            used = told(bottle.used_nl or 0, bottle.filled_unit)
            detail = (
                f"{used} were used out of bottle {bottle.number}; {told(bottle.unshared_nl, bottle.filled_unit)} of "
                "that stand in no line."
            )
            yield _finding("container_not_shared", bottle, bottle.unshared_nl, bottle.filled_unit, detail)


# -- lots, units, lines ----------------------------------------------------------------------------


def _off_lots(books: Books) -> Iterator[Finding]:
    """Find lots of which received and moved, less what was drawn, is not what the book has left."""
    drawn: dict[UUID, int] = defaultdict(int)
    for (_, lot_id, _), amount in books.drawn.items():
        drawn[lot_id] += amount
    moved: dict[UUID, int] = defaultdict(int)
    for movements in books.accounts.movements.values():
        for lot_id, amount in (effect for movement in movements for effect in movement.effects()):
            moved[lot_id] += amount
    for lot in books.lots:
        left = lot.received + moved[lot.id] - drawn[lot.id]
        if left != lot.left:
            detail = (
                f"By the book {told(lot.left, lot.unit)} of this lot are left; what was received, moved and drawn "
                f"comes to {told(left, lot.unit)}."
            )
            found = _finding("lot_does_not_balance", lot, None, lot.unit, detail)
            yield found | {f"by_{lot.base}": lot.left - left}


def _wrong_ledgers(books: Books) -> Iterator[Finding]:
    """Find units whose area-year ledger is not what their lines come to."""
    years: dict[UUID, Years] = defaultdict(dict)
    days: dict[UUID, Days] = defaultdict(dict)
    for line in sorted((line for lines in books.accounts.lines.values() for line in lines), key=lambda line: line.id):
        use = use_of(vars(line))
        years[line.unit_id] = added(years[line.unit_id], line.on_date.year, use)
        days[line.unit_id] = days_moved(days[line.unit_id], line.on_date.isoformat(), use, 1)
    for unit in books.units:
        if (unit.used_in_years, unit.used_on) != (years[unit.id], days[unit.id]):
            detail = f"What the ledger of {unit.name} says was used in a year or on a day is not what its lines say."
            yield _finding("unit_ledger_wrong", unit, None, "", detail)


def _perhaps_twice(books: Books) -> Iterator[Finding]:
    """Find lines that may be the same work as another's, while both count."""
    living = {line.id: line for lines in books.accounts.lines.values() for line in lines}
    for line in living.values():
        other = living.get(other_of(line) or line.id)
        if other and other is not line:
            detail = (
                f"{told(line.mix_nl, line.mix_unit)} of one batch were recorded for the same day, unit, species and "
                f"method as {told(other.mix_nl, other.mix_unit)} by somebody else. Both count until one is voided."
            )
            found = _finding("possible_duplicate", line, line.mix_nl, line.mix_unit, detail)
            yield found | {"behind": [_behind("applied", each, each.mix_nl) for each in (line, other)]}


FINDERS: tuple[Callable[[Books], Iterator[Finding]], ...] = (
    _off_batches, _not_shared, _wrong_columns, _off_parts, _off_lots, _wrong_ledgers, _perhaps_twice,
)  # fmt: skip


def _finding(code: str, record: Any, by_nl: int | None, unit: str, detail: str) -> Finding:
    return {
        "code": code,
        "type": record.kind,
        "id": str(record.id),
        "on_date": record.on_date.isoformat() if hasattr(record, "on_date") else None,
        "by_nl": by_nl,
        "by_ug": None,
        "unit": unit,
        "detail": detail,
        "behind": [],
        "more_behind": 0,
    }


def _unknown(leftover: Leftover, findings: list[Finding]) -> Finding:
    """Return a container of unknown contents, and the batches that lack about as much: side by side, never linked."""
    lacking = [found for found in findings if found["code"] in ("batch_not_measured", "batch_does_not_balance")]
    return {
        "id": str(leftover.id),
        "volume_nl": leftover.volume_nl,
        "unit": leftover.volume_unit,
        "found_on": leftover.on_date.isoformat(),
        "end": leftover.end,
        "beside": [found["id"] for found in lacking if _is_like(found["by_nl"], leftover.volume_nl)],
    }


def _is_like(one_nl: int, other_nl: int) -> bool:
    return one_nl > 0 and abs(one_nl - other_nl) <= max(one_nl, other_nl) * LIKE_AMOUNT
