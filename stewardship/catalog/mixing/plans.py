"""From what is asked to a plan: each way of asking becomes amounts for the arithmetic of ``rules.mixes``."""

from collections.abc import Callable
from fractions import Fraction
from math import floor
from typing import Any

from stewardship.catalog.labels import label_facts
from stewardship.catalog.mixing.answers import answer
from stewardship.catalog.mixing.fields import Leftover, MixAdjuvant, MixPlan, Strength
from stewardship.catalog.mixing.notices import has_ceiling
from stewardship.catalog.mixing.shelf import Shelf
from stewardship.catalog.models import Product
from stewardship.rules import mixes
from stewardship.rules.decimals import exact
from stewardship.rules.labels import LabelFacts
from stewardship.rules.mixes import Composition, DryPart, Part, Plan, Pour, Wanted
from stewardship.rules.mixes.compositions import PartsAbove100
from stewardship.rules.mixes.pouring import steps_of
from stewardship.rules.refusals import RuleViolation
from stewardship.rules.strength import DRY_BASES, dry_product_g_per_l, product_fraction


class StrengthOfSeveral(RuleViolation):
    """Which of the active ingredients is meant is not said."""

    code = "strength_of_several"
    message = "{name} holds several active ingredients: give its strength by product, with the basis product_v_v."
    where = "parts"


class DryByVolume(RuleViolation):
    """A dry product is weighed."""

    code = "dry_by_volume"
    message = (
        "{name} is dry: it is weighed, not measured by volume. Give its strength in product_g_l or product_oz_gal."
    )
    where = "parts"


class WetByWeight(RuleViolation):
    """A liquid product is measured by volume."""

    code = "wet_by_weight"
    message = "{name} is a liquid: give its rate as a volume."
    where = "rate"


def plan(wish: MixPlan, shelf: Shelf) -> dict[str, Any]:
    """Plan a mix: steps, what to pour, what that makes, totals, what is unknown, warnings and cautions, as JSON.

    Raises the refusals of ``rules.mixes``, ``rules.strength`` and those above; nothing is written.
    """
    made = _WAYS[wish.way](wish, shelf)
    return answer(wish, shelf, made)


def _make(wish: MixPlan, shelf: Shelf) -> Plan:
    assert wish.make
    parts = tuple(_part(shelf, part.product, part.strength) for part in wish.parts if part.strength)
    return _planned(wish, shelf, wish.make.amount(), parts)


def _ratio(wish: MixPlan, shelf: Shelf) -> Plan:
    assert wish.make
    assert wish.parts_ratio
    product = shelf.products[wish.parts[0].product]
    part = _liquid(shelf, product, wish.parts_ratio.fraction)
    return _planned(wish, shelf, wish.make.amount(), (part,))


def _rate(wish: MixPlan, shelf: Shelf) -> Plan:
    assert wish.rate
    assert wish.area
    rate, on = wish.rate, {"per_mm2": wish.rate.per.amount(), "area_mm2": wish.area.amount()}
    amount = mixes.amount_over_area(rate=rate.product.amount(), **on)
    mix = wish.make or rate.mix
    assert mix
    mix_nl = wish.make.amount() if wish.make else round(mixes.amount_over_area(rate=mix.amount(), **on))
    product = shelf.products[wish.parts[0].product]
    if product.is_dry != (rate.product.dimension == "mass"):
        raise (DryByVolume if product.is_dry else WetByWeight)(name=product.name)
    if product.is_dry:
        part: Part | DryPart = DryPart(
            key=shelf.name_of(product.id), grams_per_l=1000 * amount / mix_nl, **_scale(wish)
        )
    elif amount > mix_nl:
        raise PartsAbove100(where="rate")
    else:
        part = _liquid(shelf, product, amount / mix_nl)
    return _planned(wish, shelf, mix_nl, (part,))


def _have(wish: MixPlan, shelf: Shelf) -> Plan:
    assert wish.have
    product = shelf.products[wish.parts[0].product] if wish.parts else None
    if product is not None and product.is_dry:
        raise DryByVolume(name=product.name)
    if product is None or not wish.strengths:
        return _poured(wish, shelf, product)
    assert wish.have.product
    part = _part(shelf, product.id, wish.strengths[0])
    assert isinstance(part, Part)
    mix_nl = mixes.mix_from_product(product_nl=wish.have.product.amount(), product_fraction=part.fraction)
    return _planned(wish, shelf, floor(mix_nl), (part,), whole_down=True)


def _poured(wish: MixPlan, shelf: Shelf, product: Product | None) -> Plan:
    """Return what comes of pouring together what is at hand: no plan, but what it makes."""
    assert wish.have
    product_nl = wish.have.product.amount() if wish.have.product else 0
    carrier_nl = wish.have.carrier.amount() if wish.have.carrier else 0
    left = _leftover(shelf, wish.leftover)
    carrier = _carrier(wish, shelf, left) if carrier_nl else None
    names = {shelf.name_of(product.id): product_nl} if product else {}
    makes = left
    if names:
        fresh = mixes.mix_from_pour(products=names, carrier=carrier, carrier_nl=carrier_nl)
        makes = mixes.combine(left, fresh, compatible=shelf.compatible()) if left else fresh
    elif left:
        makes = mixes.combine(left, Composition(carrier=carrier, total_nl=carrier_nl, products={}))
    assert makes
    pours = tuple(Pour(key=key, role="product", dimension="volume", planned=nl, poured=nl) for key, nl in names.items())
    return _plan_of(makes, pours, carrier, carrier_nl, round(left.total_nl) if left else 0)


def _dilute(wish: MixPlan, shelf: Shelf) -> Plan:
    left = _leftover(shelf, wish.leftover)
    assert left
    part = _part(shelf, wish.parts[0].product, wish.strengths[0])
    if isinstance(part, DryPart):
        raise DryByVolume(name=part.key)
    carrier_nl = round(mixes.carrier_to_dilute(left, key=part.key, fraction=part.fraction))
    if not carrier_nl:
        return _plan_of(left, (), None, 0, round(left.total_nl))
    carrier = _carrier(wish, shelf, left)
    makes = mixes.combine(left, Composition(carrier=carrier, total_nl=carrier_nl, products={}))
    return _plan_of(makes, (), carrier, carrier_nl, round(left.total_nl))


_WAYS: dict[str, Callable[[MixPlan, Shelf], Plan]] = {
    "make": _make, "ratio": _ratio, "rate": _rate, "have": _have, "dilute": _dilute,
}  # fmt: skip


# -- parts -----------------------------------------------------------------------------------------


def _planned(
    wish: MixPlan, shelf: Shelf, mix_nl: int, parts: tuple[Part | DryPart, ...], *, whole_down: bool = False
) -> Plan:
    left = _leftover(shelf, wish.leftover)
    return mixes.plan_mix(
        Wanted(
            mix_nl=mix_nl,
            parts=tuple(_with_scale(wish, part) for part in parts),
            adjuvants=tuple(_with_scale(wish, _adjuvant(each)) for each in wish.adjuvants),
            carrier=_carrier(wish, shelf, left),
            leftover=left,
            finest_mark_nl=wish.finest_mark.amount() if wish.finest_mark else None,
            whole_down=whole_down or has_ceiling(wish, shelf),
            compatible=shelf.compatible(),
        )
    )


def _part(shelf: Shelf, id: Any, strength: Strength) -> Part | DryPart:
    product = shelf.products[id]
    facts = facts_for(product, strength)
    if product.is_dry:
        return DryPart(key=shelf.name_of(id), grams_per_l=dry_product_g_per_l(strength.value, strength.basis, facts))
    return _liquid(shelf, product, product_fraction(strength.value, strength.basis, facts, where="parts"))


def _liquid(shelf: Shelf, product: Product, fraction: Fraction) -> Part:
    if product.is_dry:
        raise DryByVolume(name=product.name)
    return Part(key=shelf.name_of(product.id), fraction=fraction, undiluted_only=product.undiluted_only)


def facts_for(product: Product, strength: Strength) -> LabelFacts:
    """Return the label facts that a strength on this basis is worked out with. Raises StrengthOfSeveral."""
    if strength.basis in ("product_v_v", *DRY_BASES):
        return LabelFacts()
    if len(product.ingredients) != 1:
        raise StrengthOfSeveral(name=product.name)
    return label_facts(product, product.ingredients[0])


def _adjuvant(wish: MixAdjuvant) -> Part | DryPart:
    value, basis = wish.strength.value, wish.strength.basis
    if basis in DRY_BASES:
        return DryPart(key=wish.name, grams_per_l=dry_product_g_per_l(value, basis, LabelFacts()))
    return Part(key=wish.name, fraction=exact(value) / 100)


def _scale(wish: MixPlan) -> dict[str, int]:
    return {"finest_mark_ug": wish.finest_weight.amount()} if wish.finest_weight else {}


def _with_scale(wish: MixPlan, part: Part | DryPart) -> Part | DryPart:
    return DryPart(key=part.key, grams_per_l=part.grams_per_l, **_scale(wish)) if isinstance(part, DryPart) else part


def _carrier(wish: MixPlan, shelf: Shelf, left: Composition | None) -> str | None:
    """Return the carrier asked for, else that of the leftover, else the first that the labels have in common."""
    chosen = wish.carrier or (left.carrier if left else None)
    if chosen is None:
        stated = [shelf.products[part.product].carriers for part in wish.parts]
        common = [c for c in stated[0] if c != "none" and all(c in others for others in stated)] if stated else []
        chosen = common[0] if common else None
    return None if chosen == "none" else chosen


def _leftover(shelf: Shelf, wish: Leftover | None) -> Composition | None:
    """Return what is in the leftover; one whose contents nobody knows has no products, and the rules refuse it."""
    if wish is None:
        return None
    total_nl = wish.volume.amount()
    carrier = None if wish.carrier == "none" else wish.carrier
    if wish.parts is None:
        return Composition(carrier=carrier, total_nl=total_nl, products=None)
    parts = [_part(shelf, part.product, part.strength) for part in wish.parts]
    adjuvants = [_adjuvant(each) for each in wish.adjuvants]
    return Composition(
        carrier=carrier or _leftover_carrier(shelf, wish, parts),
        total_nl=total_nl,
        products={p.key: total_nl * p.fraction for p in parts if isinstance(p, Part)},
        adjuvants={p.key: total_nl * p.fraction for p in adjuvants if isinstance(p, Part)},
        dry_products={p.key: total_nl * p.grams_per_l / 1000 for p in parts if isinstance(p, DryPart)},
        dry_adjuvants={p.key: total_nl * p.grams_per_l / 1000 for p in adjuvants if isinstance(p, DryPart)},
    )


def _leftover_carrier(shelf: Shelf, wish: Leftover, parts: list[Part | DryPart]) -> str | None:
    """Return the one carrier that a leftover can be in by its labels; None where several are possible."""
    possible = {c for part in wish.parts or () for c in shelf.products[part.product].carriers if c != "none"}
    return possible.pop() if len(possible) == 1 else None


def _plan_of(
    makes: Composition, pours: tuple[Pour, ...], carrier: str | None, carrier_nl: int, leftover_nl: int
) -> Plan:
    total_nl = leftover_nl + carrier_nl + sum(pour.poured for pour in pours)
    steps = steps_of(pours, leftover_nl=leftover_nl, carrier=carrier, carrier_nl=carrier_nl, total_nl=total_nl)
    return Plan(
        total_nl=total_nl, leftover_nl=leftover_nl, pours=pours, carrier=carrier, carrier_nl=carrier_nl, makes=makes,
        steps=steps, notes=(),
    )  # fmt: skip
