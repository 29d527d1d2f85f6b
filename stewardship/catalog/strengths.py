"""How strong a mix is: by product, and by each active ingredient in it, as far as its label leads."""

from fractions import Fraction

from stewardship.catalog.models import Product
from stewardship.rules.labels import LabelFacts
from stewardship.rules.mixes import Composition
from stewardship.rules.strength import DRY_BASES, LIQUID_BASES, g_per_l, strengths

G_L_PER_OZ_GAL = g_per_l(1) / 16
"""Grams in a litre that an ounce in a gallon is."""

UNITS_SHOWN = {
    "product_v_v": "% product by volume",
    "label_percent_share": "% of the label's per cent by weight",
    "ai_w_v": "% a.i. by weight in volume",
    "ae_w_v": "% a.e. by weight in volume",
    "ai_g_l": "g a.i. in a litre",
    "ae_g_l": "g a.e. in a litre",
    "product_g_l": "g product in a litre",
    "product_oz_gal": "oz product in a gallon",
}
"""Basis -> words."""


def ingredient_strengths(
    product: Product, facts: LabelFacts, makes: Composition, name: str
) -> dict[str, Fraction | None]:
    """Return the strength of an active ingredient in a mix on each basis but that of the product; None is unknown."""
    if not product.is_dry:
        found = strengths(makes.fraction(name), facts)
        return {basis: found[basis] for basis in LIQUID_BASES if basis != "product_v_v"}
    g_l = makes.g_per_l(name)
    by_basis: dict[str, Fraction | None] = {}
    for key, percent in (("ai", facts.ai_percent_w_w), ("ae", facts.ae_percent_w_w)):
        by_basis[f"{key}_w_v"] = None if percent is None else g_l * percent / 1000
        by_basis[f"{key}_g_l"] = None if percent is None else g_l * percent / 100
    return by_basis


def product_strength(product: Product, makes: Composition, name: str, basis: str) -> Fraction | None:
    """Return the strength of a product in a mix on one of the bases of the product itself; None: it has none there."""
    if product.is_dry:
        return {"product_g_l": makes.g_per_l(name), "product_oz_gal": makes.g_per_l(name) / G_L_PER_OZ_GAL}.get(basis)
    return None if basis in DRY_BASES else 100 * makes.fraction(name)
