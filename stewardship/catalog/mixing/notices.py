"""What is flagged on a plan: its own notes, what a label does not name, and stored limits that it does not meet."""

from collections.abc import Iterator
from typing import Any

from stewardship.catalog.labels import label_facts
from stewardship.catalog.mixing.cautions import label_of
from stewardship.catalog.mixing.fields import MixPlan
from stewardship.catalog.mixing.shelf import Shelf
from stewardship.catalog.mixing.strengths import UNITS_SHOWN, ingredient_strengths, product_strength
from stewardship.catalog.models import Limit, Product
from stewardship.rules.decimals import exact
from stewardship.rules.figures import rounded_text
from stewardship.rules.mixes import Composition, Plan
from stewardship.rules.mixes.plans import Note

Warned = dict[str, str]


def warnings(wish: MixPlan, shelf: Shelf, made: Plan) -> list[Warned]:
    """Return everything flagged, as ``{"code", "detail", "source"}``. Nothing flagged says nothing about the label."""
    names = [*(made.makes.products or {}), *made.makes.dry_products]
    told = [_of_note(shelf, note) for note in made.notes]
    for name in names:
        product = shelf.product(name)
        told += _of_label(product, made.makes)
        told += _of_limits(wish, shelf, product, made.makes, name)
    return told + list(_of_ceilings(wish, shelf))


def has_ceiling(wish: MixPlan, shelf: Shelf) -> bool:
    """Return whether a stored ceiling applies to the products as they are to be used: amounts then go down only."""
    return any(True for _ in _of_ceilings(wish, shelf))


def _of_note(shelf: Shelf, note: Note) -> Warned:
    known = note.where in (shelf.name_of(id) for id in shelf.products)
    source = label_of(shelf.product(note.where)) if known else "This plan"
    return _warned(note.code, note.message, source)


def _of_label(product: Product, makes: Composition) -> Iterator[Warned]:
    carrier = makes.carrier or "none"
    if product.retired_at:
        yield _warned("product_retired", f"{product.name} was taken out of use by the group.", "The group's catalogue")
    if not product.carriers:
        yield _warned("carrier_unknown", f"What {product.name} may be mixed into is not on record.", label_of(product))
    elif carrier not in product.carriers:
        told = "used undiluted" if carrier == "none" else f"mixed into {carrier}"
        yield _warned(
            "carrier_not_on_label", f"The facts on record do not name {product.name} {told}.", label_of(product)
        )


# -- stored limits ---------------------------------------------------------------------------------


def _of_limits(wish: MixPlan, shelf: Shelf, product: Product, makes: Composition, name: str) -> Iterator[Warned]:
    for limit in shelf.limits:
        if limit.what != "strength" or not _bears(limit, wish, product, makes.carrier):
            continue
        made = _on_basis(limit, product, makes, name)
        shown = f"{limit.low or 'any'} to {limit.high or 'any'} {UNITS_SHOWN[limit.unit]}"
        if made is None:
            detail = f"{product.name}: its strength cannot be compared with a stored limit of {shown}. {limit.wording}"
            yield _warned("limit_not_comparable", detail, limit.source)
            continue
        detail = f"{product.name} at {rounded_text(made)}; a stored limit is {shown}. {limit.wording}"
        rounding = made / (makes.volume_nl(name) or makes.mass_ug(name))  # one base unit of product
        if limit.high and made - rounding > exact(limit.high):
            yield _warned("strength_above_limit", detail, limit.source)
        if limit.low and made + rounding < exact(limit.low):
            yield _warned("strength_below_limit", detail, limit.source)


def _of_ceilings(wish: MixPlan, shelf: Shelf) -> Iterator[Warned]:
    products = [shelf.products[part.product] for part in wish.parts]
    for limit in shelf.limits:
        if limit.what == "area_year_ceiling" and any(_bears(limit, wish, p, wish.carrier) for p in products):
            yield _warned("ceiling_applies", f"A stored ceiling applies: {limit.wording}", limit.source)


def _bears(limit: Limit, wish: MixPlan, product: Product, carrier: str | None) -> bool:
    """Return whether a limit is about this product used in this way; one about a method needs the method."""
    if limit.retired_at or wish.method is None:
        return False
    actives = {each["name"].strip().lower() for each in product.ingredients}
    return (
        limit.method in ("", wish.method)
        and limit.carrier in ("", carrier or "none")
        and limit.formulation in ("", product.formulation)
        and limit.product_id in (None, product.id)
        and (not limit.active or limit.active.strip().lower() in actives)
        and (limit.species_id is None or limit.species_id == wish.species)
    )


def _on_basis(limit: Limit, product: Product, makes: Composition, name: str) -> Any:
    """Return the strength of the mix on the basis that the limit is stated in; None where it is unknown."""
    if limit.unit.startswith("product_"):
        return product_strength(product, makes, name, limit.unit)
    meant = [i for i in product.ingredients if not limit.active or i["name"].strip().lower() == limit.active.lower()]
    if len(meant) != 1:
        return None
    return ingredient_strengths(product, label_facts(product, meant[0]), makes, name).get(limit.unit)


def _warned(code: str, detail: str, source: str) -> Warned:
    return {"code": code, "detail": detail, "source": source}
