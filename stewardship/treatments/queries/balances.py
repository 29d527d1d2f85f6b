"""A batch's balance with every statement behind it: what, how much, how that is known, when, who wrote it."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any
from uuid import UUID

from stewardship.accounts.models import Member
from stewardship.journal.contents import instant
from stewardship.journal.models import Book
from stewardship.treatments.accounts import account, does_not_balance, moved
from stewardship.treatments.models import Application, Batch, Leftover, StockMovement


def balance_of(batch: Batch) -> dict[str, Any]:
    """Return a batch's account [nL], whether it balances, and what it is made of, in the order of time.

    ``held`` counts what waits for a person in the group and is in no account.
    """
    of_batch = {"group_id": batch.group_id, "batch": batch, "voided_at": None}
    lines = list(Application.objects.filter(**of_batch).select_related("session", "container"))
    leftovers = list(Leftover.objects.filter(**of_batch))
    movements = list(StockMovement.objects.filter(**of_batch, taken_nl__gt=0))
    children = {
        str(child.id): child for child in Batch.objects.filter(id__in=[each["batch"] for each in batch.poured_on])
    }
    begun = {line.session_id: line.session.started_at for line in lines}
    found = account(batch, lines, leftovers, movements, begun)
    names = _names(batch.group_id, [*lines, *leftovers, *movements, *children.values()])
    statements = [
        *_lines(lines, names),
        *_poured_on(batch, children, names),
        *_moves(movements, names),
        *_measures(leftovers, names),
    ]
    return {
        "batch": str(batch.id),
        "mix_nl": batch.mix_nl,
        **{f"{what}_nl": nl for what, nl in found.drawn_nl.items()},
        "difference_nl": found.difference_nl,
        "leftover_nl": found.leftover_nl,
        "left_nl": batch.left_nl,
        "tolerance_nl": found.tolerance_nl,
        "measured_at": _instant(found.measured_at),
        "balances": found.balances,
        "detail": does_not_balance(batch, found),
        "closed_at": _instant(batch.closed_at),
        "booked_nl": batch.difference_nl,
        "statements": sorted(statements, key=lambda each: (each["at"], each["id"])),
        "held": Book.objects.values_list("held", flat=True).get(group_id=batch.group_id),
    }


def _names(group_id: UUID, records: list[Any]) -> dict[UUID, dict[str, Any]]:
    """Return person -> the member that wrote something: id and name."""
    authors = {record.entered_by_id for record in records}
    found = Member.objects.filter(group_id=group_id, person_id__in=authors)
    return {member.person_id: {"id": str(member.id), "name": member.display_name} for member in found}


def _lines(lines: list[Application], names: dict[UUID, Any]) -> Iterator[dict[str, Any]]:
    for line in lines:
        entered = {"value": line.mix_value, "unit": line.mix_unit, "nl": line.mix_nl}
        at = instant(line.session.started_at)
        bottle = f"bottle {line.container.number}" if line.container else ""
        yield _statement("applied", line, entered, line.how_known, at, names) | {"container": bottle}


def _poured_on(batch: Batch, children: dict[str, Batch], names: dict[UUID, Any]) -> Iterator[dict[str, Any]]:
    for each in batch.poured_on:
        child = children[each["batch"]]
        for poured in child.poured_from:
            if poured["batch"] == str(batch.id):
                yield _statement("poured_on", child, poured["volume"], each["how_known"], each["at"], names)


def _moves(movements: list[StockMovement], names: dict[UUID, Any]) -> Iterator[dict[str, Any]]:
    for movement in movements:
        entered = {"value": movement.volume_value, "unit": movement.volume_unit, "nl": movement.taken_nl}
        draw = moved(movement)
        yield _statement(draw.what, movement, entered, draw.said.how_known, instant(draw.at), names)


def _measures(leftovers: list[Leftover], names: dict[UUID, Any]) -> Iterator[dict[str, Any]]:
    for left in leftovers:
        entered = {"value": left.volume_value, "unit": left.volume_unit, "nl": left.volume_nl}
        stated = _statement("measured", left, entered, left.how_known, instant(left.measured_at), names)
        yield stated | {"container": left.container, "ended_at": _instant(left.ended_at)}


def _statement(
    what: str, record: Any, volume: dict[str, Any], how_known: str, at: str, names: dict[UUID, Any]
) -> dict[str, Any]:
    said = {"what": what, "type": record.kind, "id": str(record.id), "volume": volume, "how_known": how_known}
    return said | {"at": at, "by": names.get(record.entered_by_id), "container": "", "ended_at": None}


def _instant(at: datetime | None) -> str | None:
    return at and instant(at)
