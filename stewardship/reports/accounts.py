"""The accounts of many batches at once: a statement a type, whatever they are."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple
from uuid import UUID

from stewardship.rules.balances import Balance
from stewardship.treatments.accounts import account, does_not_balance
from stewardship.treatments.models import Application, Batch, Leftover, Session, StockMovement

NEEDED = ("batch_id", "session_id", "container_id", "mix_nl", "how_known", "method", "voided_at")
"""What of a line its batch's account rests on."""


class Off(NamedTuple):
    """A batch that is off: by how much [nL] (above nothing is missing, below over), and in words."""

    code: str
    by_nl: int
    detail: str


@dataclass(frozen=True)
class Accounts:
    """Batches with everything that says something about them; living records only."""

    batches: list[Batch]
    lines: dict[UUID, list[Application]]
    """By batch."""
    leftovers: dict[UUID | None, list[Leftover]]
    """By batch; None: contents unknown."""
    movements: dict[UUID | None, list[StockMovement]]
    """By batch; None: of a lot, or of a container of unknown contents."""
    begun: dict[UUID, datetime]
    """Session -> when it began."""

    def of(self, batch: Batch) -> Balance:
        """Return a batch's account."""
        lines, leftovers = self.lines[batch.id], self.leftovers[batch.id]
        return account(batch, lines, leftovers, self.movements[batch.id], self.begun)

    def off(self, batch: Batch) -> Off | None:
        """Return by how much a batch is off; None where it balances, or was closed with a reason and is unchanged."""
        found = self.of(batch)
        if batch.closed_at:
            by_nl = found.difference_nl - batch.difference_nl
            detail = "More was recorded since this batch was closed, and its difference is another one now."
            return Off("batch_changed_since_closed", by_nl, detail) if abs(by_nl) > found.tolerance_nl else None
        if not (detail := does_not_balance(batch, found)):
            return None
        if not found.is_measured and found.difference_nl > 0:
            return Off("batch_not_measured", found.difference_nl, detail)
        is_off = abs(found.difference_nl) > found.tolerance_nl
        return Off("batch_does_not_balance", found.difference_nl if is_off else found.leftover_nl, detail)


def read_accounts(group_id: UUID, batches: Any = None, *, only: tuple[str, ...] = ()) -> Accounts:
    """Read the accounts of a group's batches: of all, or of those whose ids ``batches`` (a query) gives.

    ``only``: the columns of lines that are wanted; all by default.
    """
    of: dict[str, Any] = {"group_id": group_id, "voided_at": None}
    these = {} if batches is None else {"batch_id__in": batches}
    lines = Application.objects.filter(**of, **these).order_by("id")
    sessions = Session.objects.filter(group_id=group_id)
    if batches is not None:
        sessions = sessions.filter(id__in=lines.order_by().values("session_id"))
    found = Batch.objects.filter(**of).order_by("mixed_at", "id")
    return Accounts(
        batches=list(found if batches is None else found.filter(id__in=batches)),
        lines=_by_batch(lines.only(*only) if only else lines),
        leftovers=_by_batch(Leftover.objects.filter(**of, **these).order_by("id")),
        movements=_by_batch(StockMovement.objects.filter(**of, **these).order_by("id")),
        begun=dict(sessions.values_list("id", "started_at")),
    )


def _by_batch(records: Any) -> dict[Any, list[Any]]:
    found: dict[Any, list[Any]] = defaultdict(list)
    for record in records:
        found[record.batch_id].append(record)
    return found
