"""A batch's account, from the records that say something about it: what drew on it, and what was measured."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from stewardship.rules.balances import Balance, Draw, Drawn, Measure, Statement, balance
from stewardship.rules.units import told
from stewardship.treatments.models import Application, Batch, Leftover, StockMovement

MOVED: dict[StockMovement.What, Drawn] = {
    StockMovement.What.DISPOSAL: "disposed",
    StockMovement.What.LOSS: "lost",
    StockMovement.What.SPILL: "spilled",
    StockMovement.What.RETURN: "returned",
}
"""What happened to a mix -> the term of its batch's account."""


def account(
    batch: Batch,
    lines: Iterable[Application],
    leftovers: Iterable[Leftover],
    movements: Iterable[StockMovement],
    begun: Mapping[UUID, datetime],
    *more: Draw | Measure,
) -> Balance:
    """Return the account of a batch; voided records count no more. ``begun``: session's id -> when it began.

    A line counts from the beginning of its session on: it tells no time of its own.
    """
    draws = [drawn(line, begun[line.session_id]) for line in lines if not line.voided_at] + poured_on(batch)
    draws += [moved(movement) for movement in movements if movement.taken_nl and not movement.voided_at]
    measures = [measured(leftover) for leftover in leftovers if not leftover.voided_at]
    draws += [each for each in more if isinstance(each, Draw)]
    measures += [each for each in more if isinstance(each, Measure)]
    return balance(batch.mix_nl, draws, measures, Statement(batch.how_known))


def drawn(line: Application, at: datetime) -> Draw:
    """Return what a line took."""
    return Draw("applied", line.mix_nl, at, said_of(line, line.session_id))


def said_of(line: Any, session_id: UUID) -> Statement:
    """Return how a line's amount is known, ``line`` as it is sent or stands; its vessel is its bottle, else a session.

    A bottle keeps a little once, however many lines it is split over.
    """
    bottle = getattr(line, "container_id", None) or getattr(line, "container", None)
    return Statement(line.how_known, line.method, bottle or session_id)


def measured(leftover: Leftover) -> Measure:
    """Return what a leftover says was there."""
    return Measure(leftover.volume_nl, leftover.measured_at, leftover.ended_at, Statement(leftover.how_known))


def moved(movement: StockMovement) -> Draw:
    """Return what a movement took."""
    return Draw(MOVED[StockMovement.What(movement.what)], movement.taken_nl, movement.happened_at)


def poured_on(batch: Batch) -> list[Draw]:
    """Return what was poured on into other batches."""
    return [
        Draw("poured_on", each["nl"], datetime.fromisoformat(each["at"]), Statement(each["how_known"]))
        for each in batch.poured_on
    ]


def over_by(batch: Batch, found: Balance) -> str:
    """Return the sentence that says how much more of a batch is accounted for than was mixed."""
    unit = batch.mix_unit
    drawn = ", ".join(f"{told(nl, unit)} {what.replace('_', ' ')}" for what, nl in found.drawn_nl.items() if nl)
    left = f"{told(found.leftover_nl, unit)} measured as left"
    terms = f"{drawn} and {left}" if drawn else left
    return (
        f"This batch is over by {told(-found.difference_nl, unit)}: {terms} are more than the "
        f"{told(batch.mix_nl, unit)} that were mixed. Its balance names the lines and who wrote them."
    )


def does_not_balance(batch: Batch, found: Balance) -> str:
    """Return the sentence that says by how much a batch does not balance; empty where it does."""
    unit, whole = batch.mix_unit, f"Of the batch of {told(batch.mix_nl, batch.mix_unit)}"
    if found.balances:
        return ""
    if found.difference_nl < -found.tolerance_nl:
        return over_by(batch, found)
    if found.difference_nl > found.tolerance_nl:
        missing = told(found.difference_nl, unit)
        if not found.is_measured:
            return f"{whole} nobody has measured what is left: by the book {missing}."
        return f"{whole}, {missing} are missing; measuring explains {told(found.tolerance_nl, unit)}."
    return f"{whole}, {told(-found.leftover_nl, unit)} more were drawn than was measured as left."
