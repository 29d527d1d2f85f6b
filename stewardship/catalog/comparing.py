"""A product as it is used, held against its label facts and the stored limits: one way for plans and for facts."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from uuid import UUID

from stewardship.catalog.labels import label_facts
from stewardship.catalog.models import Limit, Product
from stewardship.catalog.strengths import UNITS_SHOWN, ingredient_strengths, product_strength
from stewardship.rules.decimals import exact
from stewardship.rules.figures import rounded_text
from stewardship.rules.mixes import Composition


@dataclass(frozen=True, slots=True)
class Manner:
    """How a product is used: by a method (None: not said), in a carrier ("none": undiluted), on a species."""

    method: str | None
    carrier: str
    species_id: UUID | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """Something flagged: a code, a sentence with the numbers, who says so, and the limit where it is one.

    ``about``: the path in the group of what it is about where that is no limit.
    """

    code: str
    detail: str
    source: str
    limit: Limit | None = None
    about: str = ""

    @property
    def path(self) -> str:
        """Return the path in the group of the record that it rests on."""
        return self.about or (f"limits/{self.limit.id}" if self.limit else "")

    def told(self) -> dict[str, str]:
        """Return it as a warning."""
        return {"code": self.code, "detail": self.detail, "source": self.source}


def label_of(product: Product) -> str:
    """Return what a fact of a product is cited as."""
    edition = f", {product.label_version}" if product.label_version else ""
    return f"Label of {product.name}{edition}"


def bears(limit: Limit, product: Product, manner: Manner) -> bool:
    """Return whether a limit is about this product used in this way; one about a method needs the method."""
    if limit.retired_at or manner.method is None:
        return False
    return (
        limit.method in ("", manner.method)
        and limit.carrier in ("", manner.carrier)
        and limit.formulation in ("", product.formulation)
        and limit.product_id in (None, product.id)
        and (not limit.active or is_named(limit.active, product))
        and (limit.species_id is None or limit.species_id == manner.species_id)
    )


def is_named(active: str, product: Product) -> bool:
    """Return whether a product holds an active ingredient of this name, in whatever form."""
    return active.strip().lower() in {each["name"].strip().lower() for each in product.ingredients}


def against_label(product: Product, carrier: str) -> Iterator[Finding]:
    """Find that the facts on record do not name the carrier, or name none."""
    if not product.carriers:
        detail = f"What {product.name} may be mixed into is not on record."
        yield Finding("carrier_unknown", detail, label_of(product), about=f"products/{product.id}")
    elif carrier not in product.carriers:
        told = "used undiluted" if carrier == "none" else f"mixed into {carrier}"
        detail = f"The facts on record do not name {product.name} {told}."
        yield Finding("carrier_not_on_label", detail, label_of(product), about=f"products/{product.id}")


def against_undiluted(product: Product, fraction: Fraction) -> Iterator[Finding]:
    """Find a ready-to-use product that is less than the whole of its mix: a plan has a note of its own for it."""
    if product.undiluted_only and fraction < 1:
        detail = (
            f"The label of {product.name} has it used undiluted; here it is {rounded_text(100 * fraction)} % of a mix."
        )
        yield Finding("undiluted_only", detail, label_of(product), about=f"products/{product.id}")


def against_strengths(
    limits: Iterable[Limit], product: Product, manner: Manner, makes: Composition, name: str
) -> Iterator[Finding]:
    """Compare the strength of a product in a mix with each stored limit on it, in that limit's own basis.

    ``name``: what the product goes by in ``makes``.
    """
    for limit in limits:
        if limit.what != "strength" or not bears(limit, product, manner):
            continue
        made = strength_on(product, makes, name, limit.unit, limit.active)
        unit = UNITS_SHOWN[limit.unit]
        shown = f"{limit.ends()} {unit}"
        if made is None:
            detail = f"{product.name}: its strength cannot be compared with a stored limit of {shown}. {limit.wording}"
            yield Finding("limit_not_comparable", detail, limit.source, limit)
            continue
        detail = f"{product.name} at {rounded_text(made)} {unit}; a stored limit is {shown}. {limit.wording}"
        rounding = made / (makes.volume_nl(name) or makes.mass_ug(name))  # one base unit of product
        if limit.high and made - rounding > exact(limit.high):
            yield Finding("strength_above_limit", detail, limit.source, limit)
        if limit.low and made + rounding < exact(limit.low):
            yield Finding("strength_below_limit", detail, limit.source, limit)


def strength_on(product: Product, makes: Composition, name: str, basis: str, active: str = "") -> Fraction | None:
    """Return the strength of a product in a mix on a basis, of one of its actives where it has several; None: unknown.

    ``name``: what the product goes by in ``makes``.
    """
    if product.is_dry and name not in makes.dry_products:
        return None
    if basis.startswith("product_"):
        return product_strength(product, makes, name, basis)
    meant = [i for i in product.ingredients if not active or i["name"].strip().lower() == active.lower()]
    if len(meant) != 1:
        return None
    return ingredient_strengths(product, label_facts(product, meant[0]), makes, name).get(basis)
