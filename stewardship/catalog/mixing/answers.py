"""What a plan is told as: JSON values, amounts in the units asked for beside their base integers."""

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from stewardship.catalog.labels import label_facts
from stewardship.catalog.mixing.cautions import cautions
from stewardship.catalog.mixing.fields import MixPlan
from stewardship.catalog.mixing.notices import warnings
from stewardship.catalog.mixing.shelf import Shelf
from stewardship.catalog.strengths import G_L_PER_OZ_GAL, ingredient_strengths
from stewardship.rules import units
from stewardship.rules.figures import rounded_text
from stewardship.rules.mixes import Composition, Plan, Pour, Step

Json = dict[str, Any]


def answer(wish: MixPlan, shelf: Shelf, made: Plan) -> Json:
    """Return the whole answer to a plan.

    ``strengths`` and ``totals`` are of the one active ingredient in the mix; of several, which are never added up, each
    stands under ``ingredients`` alone. A null figure is unknown, and named in ``unknown``.
    """
    ingredients = [each for name in _products(made.makes) for each in _ingredients(shelf, name, made.makes)]
    one = ingredients[0] if len(ingredients) == 1 else None
    return {
        "makes": _volume(made.total_nl, _mix_unit(wish)),
        "carrier": made.makes.carrier,
        "steps": [_step(wish, shelf, step) for step in made.steps],
        "pour": list(_pour(wish, shelf, made)),
        "strengths": _strengths(shelf, made.makes) | (one["strengths"] if one else {}),
        "totals": {key: one[key] if one else None for key in ("ai", "ae")},
        "ingredients": ingredients,
        "unknown": _unknown(ingredients),
        "warnings": warnings(wish, shelf, made),
        "cautions": cautions(shelf, made.makes),
    }


# -- pouring ---------------------------------------------------------------------------------------


def _pour(wish: MixPlan, shelf: Shelf, made: Plan) -> Iterator[Json]:
    if made.leftover_nl:
        yield {"leftover": True} | _amount(made.leftover_nl, _mix_unit(wish))
    for pour in made.pours:
        yield _named(shelf, pour.role, pour.key) | _poured(wish, pour)
    if made.carrier_nl:
        yield {"carrier": made.carrier} | _amount(made.carrier_nl, _mix_unit(wish))


def _poured(wish: MixPlan, pour: Pour) -> Json:
    if pour.dimension == "mass":
        unit = wish.finest_weight.unit if wish.finest_weight else "g"
        return {
            "amount": _mass(pour.poured, unit),
            "mass_ug": pour.poured,
            "planned": _mass(pour.planned, unit),
            "planned_ug": pour.planned,
        }
    unit = wish.finest_mark.unit if wish.finest_mark else _mix_unit(wish)
    planned = {"planned": _volume(pour.planned, _mix_unit(wish)), "planned_nl": pour.planned}
    return _amount(pour.poured, unit) | planned


def _step(wish: MixPlan, shelf: Shelf, step: Step) -> Json:
    what = _named(shelf, step.what, step.key)
    if step.dimension == "mass":
        unit = wish.finest_weight.unit if wish.finest_weight else "g"
        return {"number": step.number, **what, "amount": _mass(step.amount, unit), "to": step.to}
    marked = wish.finest_mark if step.what in ("product", "adjuvant") else None
    amount = _volume(step.amount, marked.unit if marked else _mix_unit(wish))
    level = _volume(step.level_nl, _mix_unit(wish))
    return {"number": step.number, **what, "amount": amount, "level": level, "to": step.to}


def _named(shelf: Shelf, what: str, key: str) -> Json:
    if what == "product":
        return {"product": str(shelf.product(key).id), "name": key}
    return {what: True if what == "leftover" else key}


def _mix_unit(wish: MixPlan) -> str:
    """Return the unit that the mix was asked for in."""
    have, rate = wish.have, wish.rate
    stated = [
        wish.make, have and have.product, have and have.carrier, wish.leftover and wish.leftover.volume,
        rate and rate.mix,
    ]  # fmt: skip
    return next(volume.unit for volume in stated if volume)


def _amount(nl: int, unit: str) -> Json:
    return {"amount": _volume(nl, unit), "volume_nl": nl}


def _volume(nl: int, unit: str) -> Json:
    return {"value": units.shown(nl, unit), "unit": unit}


def _mass(ug: int, unit: str) -> Json:
    return {"value": units.shown(ug, unit), "unit": unit}


# -- strengths and totals --------------------------------------------------------------------------


def _products(makes: Composition) -> list[str]:
    return [*(makes.products or {}), *makes.dry_products]


def _strengths(shelf: Shelf, makes: Composition) -> Json:
    """Return how much product is in the mix: per cent by volume of liquids, weight in a volume of dry ones."""
    told: Json = {}
    if makes.products:
        told["product_v_v"] = rounded_text(100 * sum(makes.fraction(name) for name in makes.products))
    if makes.dry_products:
        g_l = sum(makes.g_per_l(name) for name in makes.dry_products)
        told |= {"product_g_l": rounded_text(g_l), "product_oz_gal": rounded_text(g_l / G_L_PER_OZ_GAL)}
    return told


def _ingredients(shelf: Shelf, name: str, makes: Composition) -> Iterator[Json]:
    product = shelf.product(name)
    for each in product.ingredients:
        facts = label_facts(product, each)
        by_basis = ingredient_strengths(product, facts, makes, name)
        yield {
            "product": str(product.id),
            "active_ingredient": each["active_ingredient"],
            "name": each["name"],
            "strengths": {basis: None if v is None else rounded_text(v) for basis, v in by_basis.items()},
            "ai": _substance(by_basis["ai_g_l"], makes, shelf.mass_unit),
            "ae": _substance(by_basis["ae_g_l"], makes, shelf.mass_unit),
        }


def _substance(g_per_l: Fraction | None, makes: Composition, unit: str) -> Json | None:
    """Return the mass of a substance in the whole mix; g/L times nL is 1,000 times micrograms."""
    if g_per_l is None:
        return None
    ug = round(g_per_l * Fraction(makes.total_nl) / 1000)
    return _mass(ug, unit) | {"ug": ug}


def _unknown(ingredients: list[Json]) -> list[str]:
    """Return the figures that no label leads to: ``ae``, or ``ae of triclopyr`` where there are several actives."""
    several = len(ingredients) > 1
    return [
        f"{key} of {each['name']}" if several else key
        for each in ingredients
        for key in ("ai", "ae")
        if each[key] is None
    ]
