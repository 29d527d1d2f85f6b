"""Derived columns computed again from the lines, for the audit after each test."""

from typing import Any
from uuid import UUID

from stewardship.treatments.models import Application, Batch


def of_batches(group_id: UUID) -> dict[UUID, dict[str, Any]]:
    """Return for each batch the mix, each product and the number of lines that its living lines took out of it."""
    drawn: dict[UUID, list[Application]] = {}
    for line in Application.objects.filter(group_id=group_id, voided_at=None):
        drawn.setdefault(line.batch_id, []).append(line)
    return {batch.id: _drawn(batch, drawn.get(batch.id, [])) for batch in Batch.objects.filter(group_id=group_id)}


def _drawn(batch: Batch, lines: list[Application]) -> dict[str, Any]:
    used = [{product["product"]: product["nl"] for product in line.products} for line in lines]
    return {
        "used_nl": sum(line.mix_nl for line in lines),
        "used_parts": [sum(each[part["product"]] for each in used) for part in batch.parts],
        "lines": len(lines),
    }
