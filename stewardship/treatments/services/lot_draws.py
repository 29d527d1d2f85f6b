"""A batch draws its products from lots, and gives them back when it is corrected or voided."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any
from uuid import UUID

from stewardship.catalog.models import Product
from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Quantity
from stewardship.rules.dates import add_years, said
from stewardship.rules.measures import amount_of, base_of
from stewardship.treatments import fields
from stewardship.treatments.models import Batch, Lot, StockMovement
from stewardship.treatments.services import facts, stock
from stewardship.treatments.services.stock import Occasion
from stewardship.treatments.services.top_ups import poured_of

Parts = list[dict[str, Any]]

FIELD = "lots"
"""Where marks about lots say that they belong."""
PAST = "lot_past_shelf_life"
SHELF_LIFE_YEARS = 2
"""From purchase, where the maker states no last day: about two years (FAO V8966E; Purdue Extension PPP-142)."""
SHELF_LIFE_SOURCE = "FAO V8966E; Purdue Extension PPP-142: a shelf life of about two years"
OLDEST_FIRST_SOURCE = "Pesticide storage, pesticidestewardship.org: the oldest first"


class LotVolumeMissing(RuleViolation):
    """Of several lots, each says how much came from it."""

    code = "lot_volume_missing"
    message = "Say of each lot how much was drawn from it."
    where = "parts"


class LotTwice(RuleViolation):
    """A lot stands once in a part."""

    code = "lot_twice"
    message = "A lot stands twice in one product of this mix. Enter all that was drawn from it once."
    where = "parts"


def asked_of(part: fields.Part) -> Parts:
    """Return what is to be drawn from which lots; a single lot gives all of the product unless it says how much.

    Raises LotTwice, LotVolumeMissing.
    """
    if len({each.lot for each in part.lots}) < len(part.lots):
        raise LotTwice
    if len(part.lots) > 1 and any(not (each.volume or each.mass) for each in part.lots):
        raise LotVolumeMissing
    poured = part.volume or part.mass
    return [{"lot": str(each.lot), **_asked(each.volume or each.mass or poured)} for each in part.lots]


def _asked(amount: Quantity | None) -> dict[str, Any]:
    """Return an amount drawn; of what is counted in pieces each lot says it. Raises LotVolumeMissing."""
    if amount is None:
        raise LotVolumeMissing
    return amount.told()


def drawn(entry: Entry, parts: Parts, occasion: Occasion) -> tuple[Parts, facts.Marks]:
    """Draw what the parts say from their lots: return the parts with what was taken, and what to mark about it.

    More than the book held is taken all the same. Raises LotVoided, LotOfOtherProduct, ProductIsDry, ProductIsLiquid.
    """
    parts, marks = _drawn(entry, parts, occasion)
    return parts, marks + _marks(entry, parts, occasion)


def redrawn(entry: Entry, batch: Batch, parts: Parts, occasion: Occasion) -> tuple[Parts, facts.Marks]:
    """Draw anew what a corrected batch says, if it says something else; return parts and marks as ``drawn`` does."""
    kept = [mark for mark in batch.marks if mark["field"] == FIELD]
    if _entered(batch.parts) == _entered(parts):
        lots = {part["product"]: part["lots"] for part in batch.parts if part["lots"]}
        parts = [part | {"lots": lots[part["product"]]} if part["lots"] else part for part in parts]
        if occasion.on != batch.on_date:
            kept = [mark for mark in kept if mark["code"] != PAST] + _too_old(entry, parts, occasion.on)
        return parts, kept
    give_back(entry, batch)
    return drawn(entry, parts, occasion)


def drawn_again(entry: Entry, batch: Batch, parts: Parts) -> tuple[Parts, facts.Marks]:
    """Draw once more what a voided batch had drawn; return its parts and all its marks."""
    parts, marks = _drawn(entry, parts, occasion_of(vars(batch), batch.id))
    return parts, [mark for mark in batch.marks if mark["code"] != "lot_overdrawn"] + marks


def give_back(entry: Entry, batch: Batch) -> None:
    """Put what a batch drew back into its lots, and take back the counts that stood for what the book lacked."""
    lots = [each for part in batch.parts for each in part["lots"]]
    for each in lots:
        stock.shift(entry, entry.get(Lot, UUID(each["lot"])), amount_of(each), entries=-1)
    if lots:
        stock.take_flags_back(entry, entry.list_of(StockMovement, "batch_id", batch.id))


def without_lots(parts: Parts) -> Parts:
    """Return what a mix is made of, wherever it was drawn from."""
    return [{name: value for name, value in part.items() if name != "lots"} for part in parts]


def occasion_of(values: Mapping[str, Any], id: UUID) -> Occasion:
    """Return when and by whom a batch was mixed: that is when it drew."""
    return Occasion(values["mixed_at"], values["on_date"], values["time_zone"], values["mixed_by_id"], batch_id=id)


def _drawn(entry: Entry, parts: Parts, occasion: Occasion) -> tuple[Parts, facts.Marks]:
    found: Parts = []
    marks: facts.Marks = []
    for part in parts:
        lots = []
        for each in part["lots"]:
            lot = _lot_of(entry, each, part)
            taken = stock.take_out(entry, lot, amount_of(each), occasion)
            lots.append(each | {lot.base: taken.amount})
            marks += [stock.overdrawn(lot, taken.short, FIELD)] if taken.short else []
        found.append(part | {"lots": lots})
    return found, marks


def _lot_of(entry: Entry, each: Mapping[str, Any], part: Mapping[str, Any]) -> Lot:
    lot = stock.living_lot(entry, UUID(each["lot"]))
    if str(lot.product_id) != part["product"]:
        raise stock.LotOfOtherProduct(where="parts")
    for told in (each, part):
        stock.check_kept_in(entry, lot, base_of(told), "parts")
    return lot


def _entered(parts: Parts) -> list[Any]:
    """Return what is drawn as it was entered: an amount that was taken may be a rounding away from it."""
    return [
        (part["product"], poured_of(part), [(each["lot"], each["value"], each["unit"]) for each in part["lots"]])
        for part in parts
        if part["lots"]
    ]


# -- what is marked about it -----------------------------------------------------------------------


def _marks(entry: Entry, parts: Parts, occasion: Occasion) -> facts.Marks:
    """Return what to mark about the lots that the parts were drawn from, as they are after the draw."""
    found: facts.Marks = []
    for part in parts:
        lots = [entry.get(Lot, UUID(each["lot"])) for each in part["lots"]]
        found += _differ(part, lots)
        for lot in lots:
            found += _newer(lot, entry.list_of(Lot, "product_id", lot.product_id))
            found += stock.counted_since(entry, lot, occasion.at, FIELD)
            found += label_outdated(lot, entry.get(Product, lot.product_id))
    return found + _too_old(entry, parts, occasion.on)


def _too_old(entry: Entry, parts: Parts, on: date) -> facts.Marks:
    """Return a mark for each lot that was past its last day on this date, or past the usual shelf life."""
    lots = [entry.get(Lot, UUID(each["lot"])) for part in parts for each in part["lots"]]
    return [mark for lot in lots for mark in past_shelf_life(lot, on)]


def past_shelf_life(lot: Lot, on: date) -> facts.Marks:
    """Return the mark of a lot that is past its last day on this date; none where neither date is known."""
    if lot.expires_on:
        if on <= lot.expires_on:
            return []
        detail = f"The last day of use that the maker states for this lot was {said(lot.expires_on)}."
        return [facts.mark(PAST, detail, FIELD)]
    if lot.purchased_on is None or on <= add_years(lot.purchased_on, SHELF_LIFE_YEARS):
        return []
    detail = (
        f"This lot was bought on {said(lot.purchased_on)}, more than {SHELF_LIFE_YEARS} years before. Read the label."
    )
    return [facts.mark(PAST, detail, FIELD, SHELF_LIFE_SOURCE)]


def _differ(part: Mapping[str, Any], lots: Sequence[Lot]) -> facts.Marks:
    """Mark draws that do not add up to what was poured; each entry was rounded once."""
    if not lots:
        return []
    over = sum(map(amount_of, part["lots"])) - amount_of(poured_of(part) or {})
    if abs(over) <= len(lots) + 1:
        return []
    how = f"{stock.told(abs(over), lots[0])} {'more' if over > 0 else 'less'}"
    return [facts.mark("draws_differ", f"{how} was drawn from the lots than was poured into the mix.", FIELD)]


def _newer(lot: Lot, of_product: Iterable[Lot]) -> facts.Marks:
    bought = lot.purchased_on
    older = [
        other.purchased_on
        for other in of_product
        if bought and other.purchased_on and other.purchased_on < bought and other.left and not other.voided_at
    ]
    if not older:
        return []
    detail = f"A lot bought on {bought} was drawn on, and one bought on {min(older)} still holds something."
    return [facts.mark("newer_lot_drawn", detail, FIELD, OLDEST_FIRST_SOURCE)]


def label_outdated(lot: Lot, product: Product) -> facts.Marks:
    """Return the mark of a lot with another version of the label than the one on file, where both are known."""
    if not (lot.label_version and product.label_version) or lot.label_version == product.label_version:
        return []
    detail = f"The label on this lot is of {lot.label_version}; the one on file is of {product.label_version}."
    return [facts.mark("label_outdated", detail, FIELD)]
