"""What a batch's account comes to, inside an entry: what is marked when more is accounted for than was mixed."""

from stewardship.journal.book import Entry
from stewardship.rules.balances import Balance, Draw, Measure
from stewardship.treatments.accounts import account, over_by
from stewardship.treatments.models import Application, Batch, Fact, Leftover, Session, StockMovement
from stewardship.treatments.services import facts

OVER = "batch_over"


def account_in(entry: Entry, batch: Batch, *more: Draw | Measure, without: Fact | None = None) -> Balance:
    """Return the account of a batch as this entry leaves it, with ``more``, and as if ``without`` were not there."""
    leftovers = entry.list_beside(Leftover, "batch_id", batch)
    lines = lines_of(entry, batch)
    begun = {line.session_id: entry.get(Session, line.session_id).started_at for line in lines}
    return account(
        batch,
        [line for line in lines if line is not without],
        [leftover for leftover in leftovers if leftover is not without],
        entry.list_beside(StockMovement, "batch_id", batch),
        begun,
        *more,
    )


def over_marks(entry: Entry, batch: Batch, new: Draw | Measure, field: str, without: Fact | None = None) -> facts.Marks:
    """Return what to mark about a line or a leftover that makes more of a batch than was mixed.

    ``new`` is what it says; a draw is taken out of the batch already. Nothing is over where nobody measured. What is
    compared is read for all batches of the entry at once, whether or not this one needs it.
    """
    leftovers = [each for each in entry.list_beside(Leftover, "batch_id", batch) if not each.voided_at]
    found_nl = sum(each.volume_nl for each in leftovers if each is not without)
    found_nl += new.nl if isinstance(new, Measure) else 0
    if not found_nl:
        return []
    lines_of(entry, batch), entry.list_beside(StockMovement, "batch_id", batch)
    if batch.used_nl + found_nl <= batch.mix_nl:
        return []
    found = account_in(entry, batch, new, without=without)
    if found.difference_nl >= -found.tolerance_nl:
        return []
    return [facts.mark(OVER, over_by(batch, found), field)]


def lines_of(entry: Entry, batch: Batch) -> list[Application]:
    """Return the lines of a batch; those of every batch that is known here are read at once, with their sessions."""
    is_new = not entry.has_list(Application, "batch_id", batch)
    lines = entry.list_beside(Application, "batch_id", batch)
    if is_new:
        entry.load(Session, {line.session_id for line in entry.known(Application).values()}, lock=False)
    return lines


def kept_marks(fact: Fact) -> facts.Marks:
    """Return the marks of a fact without the one that is found anew here."""
    return [each for each in fact.marks if each["code"] != OVER]
