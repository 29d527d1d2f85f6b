"""What is known of each active ingredient in a product: what its label states, and what follows from that."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from stewardship.catalog.models import ActiveIngredient, Product
from stewardship.rules.figures import exact_text, from_exact_text
from stewardship.rules.labels import LabelFacts, completed
from stewardship.rules.strength import g_per_l

Stated = Mapping[str, Any]
"""One entry of a product's ``ingredients``: JSON values as the model describes them."""


def named_ingredient(stated: Stated, active: ActiveIngredient) -> dict[str, Any]:
    """Return what is kept of an ingredient as stated: with its name, its form and its grams of acid in a gram."""
    kept = {key: stated[key] for key in ("ai_percent_w_w", "ae_percent_w_w", "ai", "ae")}
    named = {"active_ingredient": str(active.id), "name": active.name, "form": active.form}
    return kept | named | {"ae_per_ai": active.ae_per_ai or None}


def completed_ingredient(named: Stated, density: Stated | None) -> dict[str, Any]:
    """Return a named ingredient with its grams in a litre of product [exact text], where its facts lead there.

    Raises LabelFactOutOfRange for what no label can state.
    """
    facts = completed(_stated_facts(named, density))
    return {**named, "ai_g_l": _text(facts.ai_g_per_l), "ae_g_l": _text(facts.ae_g_per_l)}


def label_facts(product: Product, ingredient: Stated) -> LabelFacts:
    """Return the facts on one of the product's ``ingredients``, completed where they allow; None is unknown."""
    return completed(_stated_facts(ingredient, product.density))


def ingredient_snapshot(product: Product) -> list[dict[str, Any]]:
    """Return for each ingredient ``active_ingredient`` (id), ``name``, ``ai_g_l`` and ``ae_g_l``: what a batch keeps.

    Grams in a litre of product are exact text (``rules.figures``) or None where they are unknown. A dry product has
    grams in a kilogram instead, ``ai_g_kg`` and ``ae_g_kg``.
    """
    if product.is_dry:
        return [_in_a_kilogram(each, label_facts(product, each)) for each in product.ingredients]
    return [
        {key: each[key] for key in ("active_ingredient", "name", "ai_g_l", "ae_g_l")} for each in product.ingredients
    ]


def _in_a_kilogram(named: Stated, facts: LabelFacts) -> dict[str, Any]:
    by_weight = {"ai_g_kg": facts.ai_percent_w_w, "ae_g_kg": facts.ae_percent_w_w}
    told = {key: None if percent is None else exact_text(10 * percent) for key, percent in by_weight.items()}
    return {"active_ingredient": named["active_ingredient"], "name": named["name"]} | told


def _stated_facts(stated: Stated, density: Stated | None) -> LabelFacts:
    return LabelFacts(
        ai_percent_w_w=_number(stated["ai_percent_w_w"]),
        ae_percent_w_w=_number(stated["ae_percent_w_w"]),
        ai_g_per_l=_grams_per_litre(stated["ai"]),
        ae_g_per_l=_grams_per_litre(stated["ae"]),
        ae_per_ai=from_exact_text(stated["ae_per_ai"]) if stated["ae_per_ai"] else None,
        density_g_per_ml=_grams_per_ml(density),
    )


def _number(text: str | None) -> Fraction | None:
    return None if text is None else Fraction(text)


def _grams_per_litre(content: Stated | None) -> Fraction | None:
    if content is None:
        return None
    return g_per_l(content["value"]) if content["unit"] == "lb_gal" else Fraction(content["value"])


def _grams_per_ml(density: Stated | None) -> Fraction | None:
    if density is None:
        return None
    return g_per_l(density["value"]) / 1000 if density["unit"] == "lb_gal" else Fraction(density["value"])


def _text(number: Fraction | None) -> str | None:
    return None if number is None else exact_text(number)
