"""What is flagged on a plan: its own notes, what a label does not name, and stored limits that it does not meet."""

from collections.abc import Iterator

from stewardship.catalog.comparing import Manner, against_label, against_strengths, bears, label_of
from stewardship.catalog.mixing.fields import MixPlan
from stewardship.catalog.mixing.shelf import Shelf
from stewardship.catalog.models import Product
from stewardship.rules.mixes import Plan
from stewardship.rules.mixes.plans import Note

Warned = dict[str, str]


def warnings(wish: MixPlan, shelf: Shelf, made: Plan) -> list[Warned]:
    """Return everything flagged, as ``{"code", "detail", "source"}``. Nothing flagged says nothing about the label."""
    names = [*(made.makes.products or {}), *made.makes.dry_products]
    carrier = made.makes.carrier or "none"
    told = [_of_note(shelf, note) for note in made.notes]
    for name in names:
        product = shelf.product(name)
        told += _of_catalogue(product)
        told += [found.told() for found in against_label(product, carrier)]
        manner = Manner(wish.method, carrier, wish.species)
        told += [found.told() for found in against_strengths(shelf.limits, product, manner, made.makes, name)]
    return told + list(_of_ceilings(wish, shelf))


def has_ceiling(wish: MixPlan, shelf: Shelf) -> bool:
    """Return whether a stored ceiling applies to the products as they are to be used: amounts then go down only."""
    return any(True for _ in _of_ceilings(wish, shelf))


def _of_note(shelf: Shelf, note: Note) -> Warned:
    known = note.where in (shelf.name_of(id) for id in shelf.products)
    source = label_of(shelf.product(note.where)) if known else "This plan"
    return _warned(note.code, note.message, source)


def _of_catalogue(product: Product) -> Iterator[Warned]:
    if product.retired_at:
        yield _warned("product_retired", f"{product.name} was taken out of use by the group.", "The group's catalogue")


def _of_ceilings(wish: MixPlan, shelf: Shelf) -> Iterator[Warned]:
    products = [shelf.products[part.product] for part in wish.parts]
    manner = Manner(wish.method, wish.carrier or "none", wish.species)
    for limit in shelf.limits:
        if limit.what == "area_year_ceiling" and any(bears(limit, product, manner) for product in products):
            yield _warned("ceiling_applies", f"A stored ceiling applies: {limit.wording}", limit.source)


def _warned(code: str, detail: str, source: str) -> Warned:
    return {"code": code, "detail": detail, "source": source}
