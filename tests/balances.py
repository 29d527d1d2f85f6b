"""Derived columns computed again from the lines, for the audit after each test."""

from collections.abc import Iterable
from datetime import UTC
from typing import Any
from uuid import UUID

from django.db.models import Sum

from stewardship.jobs.models import Job, State
from stewardship.places.models import Unit
from stewardship.reports.models import ReportVersion, SeasonReport
from stewardship.rules.measures import amount_of
from stewardship.treatments.models import Application, Batch, Container, Lot, StockMovement


def of_batches(group_id: UUID) -> dict[UUID, dict[str, Any]]:
    """Return for each batch what living lines, batches and movements took out of it: mix, parts, and their number."""
    batches = list(Batch.objects.filter(group_id=group_id))
    carried = _carried(group_id, batches)
    draws: dict[UUID, list[tuple[int, list[int]]]] = {batch.id: [] for batch in batches}
    poured_on: dict[UUID, list[dict[str, Any]]] = {batch.id: [] for batch in batches}
    for line in Application.objects.filter(group_id=group_id, voided_at=None):
        draws[line.batch_id].append((line.mix_nl, [amount_of(product) for product in line.products]))
    for child, poured in [(each, poured) for each in batches if not each.voided_at for poured in each.poured_from]:
        parent, nl = UUID(poured["batch"]), poured["volume"]["nl"]
        draws[parent].append((nl, [amount_of(product) for product in poured["products"]]))
        at = child.mixed_at.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")
        poured_on[parent].append({"batch": str(child.id), "nl": nl, "at": at, "how_known": child.how_known})
    for movement in StockMovement.objects.filter(group_id=group_id, voided_at=None, taken_nl__gt=0):
        draws[movement.batch_id].append((movement.taken_nl, [amount_of(product) for product in movement.products]))
    return {
        batch.id: {
            "used_nl": sum(nl for nl, _ in draws[batch.id]),
            "used_parts": [sum(parts[place] for _, parts in draws[batch.id]) for place in range(len(batch.parts))],
            "lines": len(draws[batch.id]),
            "poured_on": poured_on[batch.id],
            **carried[batch.id],
        }
        for batch in batches
    }


def _carried(group_id: UUID, batches: list[Batch]) -> dict[UUID, dict[str, int]]:
    """Return for each batch what its bottles add: outings, mix that is out, mix used and in no line yet."""
    told = {batch.id: {"bottles": 0, "out_nl": 0, "in_containers_nl": 0} for batch in batches}
    in_lines = of_containers(group_id)
    for bottle in Container.objects.filter(group_id=group_id, voided_at=None):
        gone = bottle.filled_nl - (bottle.back_nl or 0) - in_lines[bottle.id]["in_lines_nl"]
        told[bottle.batch_id]["bottles"] += 1
        told[bottle.batch_id]["out_nl" if bottle.back_nl is None else "in_containers_nl"] += max(0, gone)
    return told


def of_containers(group_id: UUID) -> dict[UUID, dict[str, Any]]:
    """Return for each bottle's outing what its living lines come to."""
    lines = Application.objects.filter(group_id=group_id, voided_at=None).exclude(container=None)
    sums = dict(lines.values_list("container").annotate(Sum("mix_nl")).order_by())
    return {id: {"in_lines_nl": sums.get(id, 0)} for id in _ids(Container, group_id)}


def of_units(group_id: UUID) -> dict[UUID, dict[str, Any]]:
    """Return for each unit what its living lines used in each year, by species and products, and on which days."""
    found: dict[UUID, dict[str, dict[Any, Any]]] = {id: {} for id in _ids(Unit, group_id)}
    days: dict[UUID, dict[str, dict[str, int]]] = {id: {} for id in found}
    for line in Application.objects.filter(group_id=group_id, voided_at=None).order_by("id"):
        held = sorted({(p["product"], *sorted(a["active_ingredient"] for a in p["actives"])) for p in line.products})
        cells = found[line.unit_id].setdefault(str(line.on_date.year), {})
        cells.setdefault((str(line.species_id), *held), []).append(line)
        for product in {p["product"] for p in line.products}:
            of_product, on = days[line.unit_id].setdefault(product, {}), line.on_date.isoformat()
            of_product[on] = of_product.get(on, 0) + 1
    return {
        id: {
            "used_in_years": {year: [_cell(key, cells[key]) for key in sorted(cells)] for year, cells in years.items()},
            "used_on": days[id],
        }
        for id, years in found.items()
    }


def _ids(model: Any, group_id: UUID) -> list[UUID]:
    return list(model.objects.filter(group_id=group_id).values_list("id", flat=True))


def _cell(key: tuple[Any, ...], lines: list[Application]) -> dict[str, Any]:
    species, *held = key
    return {
        "species": species,
        "lines": len(lines),
        "stems": sum(line.stems or 0 for line in lines),
        "stems_unknown": sum(line.stems is None for line in lines),
        "products": [_product(product, actives, lines) for product, *actives in held],
    }


def _product(product: str, actives: list[str], lines: list[Application]) -> dict[str, Any]:
    used = [p for line in lines for p in line.products if p["product"] == product]
    found = []
    for active in actives:
        each = [a for p in used for a in p["actives"] if a["active_ingredient"] == active]
        cell: dict[str, Any] = {"active_ingredient": active}
        for name in ("ai", "ae"):
            cell[f"{name}_ug"] = sum(a[f"{name}_ug"] or 0 for a in each)
            cell[f"{name}_unknown"] = sum(a[f"{name}_ug"] is None for a in each)
        found.append(cell)
    amounts = {base: sum(p.get(base) or 0 for p in used) for base in ("nl", "ug")}
    return {"product": product, **amounts, "actives": found}


def of_lots(group_id: UUID) -> dict[UUID, dict[str, Any]]:
    """Return for each lot what was received, moved and drawn, added up, and how many entries that were."""
    moved: dict[UUID, list[int]] = {}
    for movement in StockMovement.objects.filter(group_id=group_id, voided_at=None):
        delta = movement.delta_nl if movement.delta_ug is None else movement.delta_ug
        for lot_id, amount in ((movement.lot_id, delta), (movement.to_lot_id, -delta)):
            moved.setdefault(lot_id, []).append(amount)
    for batch in Batch.objects.filter(group_id=group_id, voided_at=None):
        for drawn in (each for part in batch.parts for each in part["lots"]):
            moved.setdefault(UUID(drawn["lot"]), []).append(-amount_of(drawn))
    return {
        lot.id: {
            "left_nl": _left(lot.received_nl, moved.get(lot.id, ())),
            "left_ug": _left(lot.received_mass_ug, moved.get(lot.id, ())),
            "entries": len(moved.get(lot.id, ())),
        }
        for lot in Lot.objects.filter(group_id=group_id)
    }


def _left(received: int | None, moved: Iterable[int]) -> int | None:
    """Return what is left of what was received; nothing is told in the measure that the lot is not kept in."""
    return None if received is None else received + sum(moved)


def of_reports(group_id: UUID) -> dict[UUID, dict[str, Any]]:
    """Return for each report its newest version, how far its finished jobs read, and one of its jobs."""
    jobs: dict[str, list[Job]] = {}
    for job in Job.objects.filter(group_id=group_id, kind="season_report"):
        jobs.setdefault(job.args["report"], []).append(job)
    numbers: dict[UUID, list[int]] = {}
    for version in ReportVersion.objects.filter(group_id=group_id):
        numbers.setdefault(version.report_id, []).append(version.number)
    reports = SeasonReport.objects.filter(group_id=group_id)
    return {report.id: _compiled(report, jobs[str(report.id)], numbers.get(report.id, [])) for report in reports}


def _compiled(report: SeasonReport, jobs: list[Job], numbers: list[int]) -> dict[str, Any]:
    return {
        "job_id": report.job_id if report.job_id in {job.id for job in jobs} else None,
        "latest": len(numbers) if sorted(numbers) == list(range(1, len(numbers) + 1)) else None,
        "head": max((job.result["head"] for job in jobs if job.state == State.DONE), default=0),
    }
