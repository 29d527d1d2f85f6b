"""What of a mix was disposed of, lost, spilled or went back undiluted, and how a container of unknown mix ended."""

from datetime import datetime
from typing import Any

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.rules.mixes.compositions import ContentsUnknown
from stewardship.rules.shares import AmountNotPositive
from stewardship.treatments.models import Batch, End, Leftover, StockMovement
from stewardship.treatments.services import draws, facts, stock
from stewardship.treatments.services.top_ups import NO_CARRIER, LeftoverOfAnotherBatch

What = StockMovement.What

ENDS = {What.DISPOSAL: End.DISPOSED, What.LOSS: End.LOST, What.SPILL: End.LOST, What.RETURN: End.POURED_ON}
"""What may happen to a mix -> how a leftover of it ends."""


class NotOfAMix(RuleViolation):
    """A mix is not bought, counted or handed on like product."""

    code = "not_of_a_mix"
    message = (
        "A mix is disposed of, lost or spilled, and undiluted it goes back into a lot. Name the lot only for what "
        "goes back; what was measured as left is a leftover."
    )
    where = "what"


class ReturnDiluted(RuleViolation):
    """Only what is still the product goes back into its lot."""

    code = "return_diluted"
    message = "This batch is no longer the product alone, so it does not go back into a lot. Keep it as a leftover."
    where = "lot"


def moved(entry: Entry, values: dict[str, Any]) -> dict[str, Any]:
    """Take what a movement says out of its batch, and return the columns that follow.

    Of a container that nobody has identified nothing is taken from anywhere: it ends, and counts as one unknown.
    Raises NotOfAMix, ContentsUnknown, LeftoverOfAnotherBatch, and what ``draws.take`` raises.
    """
    goes_back = values["what"] == What.RETURN
    if values["what"] not in ENDS or values.get("to_lot_id") or goes_back != bool(values.get("lot_id")):
        raise NotOfAMix
    if values["volume_nl"] <= 0:
        raise AmountNotPositive(what="what was moved", where="volume")
    leftover = facts.living(entry.get(Leftover, values["leftover_id"])) if values.get("leftover_id") else None
    batch_id = values.get("batch_id")
    if leftover and batch_id not in (None, leftover.batch_id):
        raise LeftoverOfAnotherBatch
    batch_id = batch_id or (leftover.batch_id if leftover else None)
    if batch_id is None and goes_back:
        raise ContentsUnknown(where="leftover")
    found: dict[str, Any] = {"batch_id": batch_id, "taken_nl": 0, "products": [], "delta_nl": 0}
    if batch_id is not None:
        found |= _taken(entry, values, entry.get(Batch, batch_id))
    if leftover and leftover.is_open() and values["volume_nl"] >= leftover.volume_nl:
        ended_at = _end_of(leftover, values["happened_at"])
        entry.change(leftover, ended_at=ended_at, end=ENDS[values["what"]].value)
    return found


def take_back(entry: Entry, movement: StockMovement) -> None:
    """Put back into its batch what a movement took, and let the leftover that it ended stand again."""
    if movement.taken_nl and movement.batch_id:
        draws.give_back(entry, entry.get(Batch, movement.batch_id), movement.taken_nl, movement.products)
    leftover = entry.get(Leftover, movement.leftover_id) if movement.leftover_id else None
    if leftover and _was_ended(leftover, movement):
        entry.change(leftover, ended_at=None, end="")


def _end_of(leftover: Leftover, happened_at: datetime) -> datetime:
    return max(happened_at, leftover.measured_at)


def _was_ended(leftover: Leftover, movement: StockMovement) -> bool:
    """Tell whether a leftover ended by this movement, whatever was corrected since."""
    ended_at = _end_of(leftover, movement.happened_at)
    return (leftover.end, leftover.ended_at) == (ENDS[What(movement.what)], ended_at)


def _taken(entry: Entry, values: dict[str, Any], batch: Batch) -> dict[str, Any]:
    if values["what"] != What.RETURN:
        mix_nl, products = draws.take(entry, batch, values["volume_nl"])
        return {"taken_nl": mix_nl, "products": products}
    lot = stock.living_lot(entry, values["lot_id"])
    is_product = batch.carrier == NO_CARRIER and len(batch.parts) == 1 and "nl" in batch.parts[0]
    if not is_product or batch.adjuvants:
        raise ReturnDiluted
    if batch.parts[0]["product"] != str(lot.product_id):
        raise stock.LotOfOtherProduct
    stock.check_kept_in(entry, lot, "nl", "volume")
    mix_nl, products = draws.take(entry, batch, values["volume_nl"])
    stock.shift(entry, lot, products[0]["nl"], entries=1)
    return {"taken_nl": mix_nl, "products": products, "delta_nl": products[0]["nl"]}
