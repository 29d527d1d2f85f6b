"""What was poured into a mix: a product or adjuvant with its amount, in the product's own measure."""

from typing import Any

from stewardship.catalog.fields import Piece
from stewardship.catalog.labels import ingredient_snapshot
from stewardship.catalog.models import Product
from stewardship.journal.book import Entry
from stewardship.journal.fields import Quantity
from stewardship.rules.measures import MEASURE
from stewardship.rules.mixes import ug_in_pieces
from stewardship.treatments import fields
from stewardship.treatments.services import lot_draws
from stewardship.treatments.services.stock import check_measure


def part_of(entry: Entry, part: fields.Part) -> dict[str, Any]:
    """Return a part as a batch keeps it: ``nl`` and ``volume`` of a liquid, ``ug`` and ``mass`` of a dry product.

    Pieces are an amount where the product states what one holds. Raises ProductIsDry, ProductIsLiquid,
    PieceContentUnknown, and what ``lot_draws.asked_of`` raises.
    """
    product = entry.get(Product, part.product)
    poured = _pieces(product, part.pieces) if part.pieces else in_its_measure(product, part.volume or part.mass)
    base = "ug" if product.is_dry else "nl"
    return {
        "product": str(product.id),
        "name": product.name,
        "registration_no": product.registration_no,
        "signal_word": product.signal_word,
        base: poured[base],
        MEASURE[base]: poured,
        "planned": kept(part.planned) if part.planned else None,
        "ingredients": ingredient_snapshot(product),
        "lots": lot_draws.asked_of(part),
    }


def adjuvant_of(adjuvant: fields.Adjuvant) -> dict[str, Any]:
    """Return an adjuvant or dye as a batch keeps it."""
    volume = kept(adjuvant.volume)
    return {"name": adjuvant.name, "nl": volume["nl"], "volume": volume}


def kept(quantity: Quantity) -> dict[str, Any]:
    """Return a quantity as it is kept within a record."""
    return {"value": quantity.value, "unit": quantity.unit, quantity.base: quantity.amount()}


def in_its_measure(product: Product, amount: Quantity | None) -> dict[str, Any]:
    """Return an amount of a product as it is kept. Raises ProductIsDry, ProductIsLiquid."""
    assert amount is not None
    check_measure(product, amount.base, "parts")
    return kept(amount)


def _pieces(product: Product, pieces: int) -> dict[str, Any]:
    """Return what so many pre-measured pieces hold. Raises PieceContentUnknown."""
    each = Piece(**product.piece).amount() if product.piece else None
    base = "ug" if product.is_dry else "nl"
    return {"value": str(pieces), "unit": "piece", base: int(ug_in_pieces(pieces=pieces, ug_per_piece=each))}
