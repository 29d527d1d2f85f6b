"""A batch's account is closed: what was mixed is what was used, left, disposed and lost, and the rest is booked."""

from fractions import Fraction

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target
from stewardship.rules.measures import amount_of
from stewardship.treatments import fields
from stewardship.treatments.accounts import does_not_balance
from stewardship.treatments.models import Batch
from stewardship.treatments.services import facts
from stewardship.treatments.services.balances import account_in
from stewardship.treatments.services.batches import BatchClosed
from stewardship.treatments.services.draws import shares_of
from stewardship.treatments.services.sessions import EndsBeforeItBegins

BEYOND = "difference_beyond_tolerance"


class BatchDoesNotBalance(RuleViolation):
    """More is missing, or over, than measuring can explain."""

    code = "batch_does_not_balance"
    message = "{sentence} Look for a line or a spill that was not entered, or say why."
    where = "reason"


class BatchNotClosed(RuleViolation):
    """Only a closed batch is reopened."""

    code = "batch_not_closed"
    message = "This batch is not closed."


class MoreDrawnThanMixed(RuleViolation):
    """A closed batch gives up what was measured, which may be more than was mixed; an open one cannot."""

    code = "more_drawn_than_mixed"
    message = (
        "Since this batch was closed, more was drawn from it than was mixed, because more was measured. "
        "Correct or void what is too much, then reopen it."
    )


def close_batch(entry: Entry, wish: fields.CloseBatch) -> Batch:
    """Close a batch and book its measuring difference; beyond the tolerance only with a reason, and it is marked.

    What is left after that is what was measured; it can still be used, poured on and disposed of.
    """
    batch = facts.living(entry.get(Batch, wish.id))
    if batch.closed_at:
        raise BatchClosed
    if wish.closed_at < batch.mixed_at:
        raise EndsBeforeItBegins(where="closed_at")
    found = account_in(entry, batch)
    marks = batch.marks
    if sentence := does_not_balance(batch, found):
        if not entry.cause.reason.strip():
            raise BatchDoesNotBalance(sentence=sentence)
        marks = [*marks, facts.mark(BEYOND, sentence, "difference")]
    difference_nl = min(found.difference_nl, batch.left_nl)
    parts = _parts_in(batch, difference_nl)
    return entry.change(
        batch, closed_at=wish.closed_at, difference_nl=difference_nl, difference_parts=parts, marks=marks
    )


def reopen_batch(entry: Entry, wish: Target) -> Batch:
    """Take the close of a batch back, with the difference that was booked. Raises MoreDrawnThanMixed."""
    batch = facts.living(entry.get(Batch, wish.id))
    if not batch.closed_at:
        raise BatchNotClosed
    drawn = [(batch.used_nl, batch.mix_nl), *zip(batch.used_parts, map(amount_of, batch.parts), strict=True)]
    if any(used_nl > held_nl for used_nl, held_nl in drawn):
        raise MoreDrawnThanMixed
    marks = [mark for mark in batch.marks if mark["code"] != BEYOND]
    return entry.change(batch, closed_at=None, difference_nl=0, difference_parts=[], marks=marks)


def _parts_in(batch: Batch, difference_nl: int) -> list[int]:
    """Return each product's share of a difference; one that leaves no mix takes all product left."""
    if difference_nl <= 0:
        return [round(Fraction(amount_of(part) * difference_nl, batch.mix_nl)) for part in batch.parts]
    return shares_of(batch, difference_nl)
