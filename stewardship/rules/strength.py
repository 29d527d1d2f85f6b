"""Strength: what a per cent is a per cent *of*.

A strength names its basis. Liquids: ``product_v_v`` (% product by volume of the FINISHED mix), ``label_percent_share``
(the label's % by weight x the share of product by volume), ``ai_w_v`` and ``ae_w_v`` (g active ingredient or acid
equivalent in 100 mL of finished mix), ``ai_g_l`` and ``ae_g_l`` (g in a litre of it). Dry products dissolve by mass
per volume: ``product_g_l`` and ``product_oz_gal`` (product in a litre or a US gallon of finished mix).

What a label does not state is unknown (None) and stays unknown; nothing is guessed.
"""

from fractions import Fraction

from stewardship.rules.decimals import exact, quoted
from stewardship.rules.labels import LabelFacts, completed
from stewardship.rules.refusals import RuleViolation
from stewardship.rules.units import UNITS

LIQUID_BASES = ("product_v_v", "label_percent_share", "ai_w_v", "ae_w_v", "ai_g_l", "ae_g_l")
DRY_BASES = ("product_g_l", "product_oz_gal")
BASES = LIQUID_BASES + DRY_BASES

_G_L_PER_LB_GAL = 1000 * UNITS["lb"].per_unit / UNITS["gal"].per_unit  # a ug in a nL is 1,000 g in a litre
_G_L_PER_OZ_GAL = 1000 * UNITS["oz"].per_unit / UNITS["gal"].per_unit
_G_L_PER_W_V = 10  # 1 % w/v is 1 g in 100 mL
_MOST_G_L = 1000  # 100 % w/v


class BasisMissing(RuleViolation):
    """A bare per cent."""

    code = "basis_missing"
    message = f"A strength must say what it is a per cent of. Give a basis: {', '.join(BASES)}."


class BasisUnknown(RuleViolation):
    """The basis is not one of ours."""

    code = "basis_unknown"
    message = f"{{shown}} is not a basis we know. Give one of: {', '.join(BASES)}."


class StrengthUnknowable(RuleViolation):
    """The label facts on record do not lead to an amount of product."""

    code = "strength_unknowable"
    message = (
        "How much product makes this strength cannot be worked out: {missing}. "
        "Look on the product's own label, or give the strength another way."
    )


class StrengthNotPositive(RuleViolation):
    """A strength of nothing, or less."""

    code = "strength_not_positive"
    message = "A strength must be more than zero."


class StrengthAbove100(RuleViolation):
    """More than the whole."""

    code = "strength_above_100"
    message = "A strength cannot be more than 100 %, or 1,000 g in a litre: check the number and the basis."


class ConcentrateTooWeak(RuleViolation):
    """Even undiluted, the product does not reach the wanted strength."""

    code = "concentrate_too_weak"
    message = "The product itself is weaker than the strength asked for: even undiluted it does not reach it."


def g_per_l(lb_per_gal: Fraction | int | str) -> Fraction:
    """Return pounds in a US gallon as grams in a litre, exactly (1 lb/gal = 119.826 g/L).

    Source: pound of 453.59237 g and gallon of 231 cubic inches, NIST Handbook 44, Appendix C.
    """
    return exact(lb_per_gal) * _G_L_PER_LB_GAL


def check_strength(value: Fraction | int | str, basis: str | None, *, where: str = "") -> Fraction:
    """Return the number of a strength that says what it is a per cent of: more than nothing, at most the whole.

    Raises NumberUnreadable, BasisMissing, BasisUnknown, StrengthNotPositive, StrengthAbove100.
    """
    return _wanted(value, _basis(basis, where), where)


def product_fraction(value: Fraction | int | str, basis: str | None, facts: LabelFacts, *, where: str = "") -> Fraction:
    """Return the volume of product in a volume of FINISHED mix that has the wanted strength, unrounded, in (0, 1].

    Raises NumberUnreadable, BasisMissing, BasisUnknown, StrengthNotPositive, StrengthAbove100, StrengthUnknowable (the
    facts do not lead there; a dry basis weighs product, see ``dry_product_g_per_l``), ConcentrateTooWeak.

    Source: C1 V1 = C2 V2; e.g. University of Illinois Extension, The Bulletin 10(5), 2006.
    """
    basis = _basis(basis, where)
    wanted = _wanted(value, basis, where)
    if basis in DRY_BASES:
        raise StrengthUnknowable(where=where, basis=basis, missing="it weighs the product, and says no volume of it")
    undiluted = _undiluted(completed(facts))[basis]
    if undiluted is None:
        raise StrengthUnknowable(where=where, basis=basis, missing=f"{_NEEDS[basis]} is not known")
    if wanted > undiluted:
        raise ConcentrateTooWeak(where=where, basis=basis)
    return wanted / undiluted


def strengths(product_fraction: Fraction, facts: LabelFacts) -> dict[str, Fraction | None]:
    """Return the strength of a finished mix on every liquid basis (LIQUID_BASES); None where it is unknown.

    ``product_fraction`` is volume of product over volume of FINISHED mix, 0 to 1; outside it StrengthNotPositive or
    StrengthAbove100 is raised.
    """
    share = exact(product_fraction)
    if share < 0:
        raise StrengthNotPositive
    if share > 1:
        raise StrengthAbove100(basis="product_v_v")
    return {basis: None if whole is None else share * whole for basis, whole in _undiluted(completed(facts)).items()}


def dry_product_g_per_l(
    value: Fraction | int | str, basis: str | None, facts: LabelFacts, *, where: str = ""
) -> Fraction:
    """Return the grams of a dry product in a litre of FINISHED mix that has the wanted strength, unrounded.

    By weight of product (DRY_BASES) or of what is in it (``ai_w_v``, ``ae_w_v``, ``ai_g_l``, ``ae_g_l``, by the label's
    % by weight). Raises as ``product_fraction`` does; by volume of product nothing is known: StrengthUnknowable.
    """
    basis = _basis(basis, where)
    wanted = _wanted(value, basis, where)
    if basis not in _G_L:
        raise StrengthUnknowable(where=where, basis=basis, missing="a dry product is weighed, not measured by volume")
    per_gram = _per_gram(completed(facts), basis)
    if per_gram is None:
        raise StrengthUnknowable(where=where, basis=basis, missing="the label's per cent by weight is not known")
    if wanted * _G_L[basis] > _MOST_G_L * per_gram:
        raise ConcentrateTooWeak(where=where, basis=basis)
    return wanted * _G_L[basis] / per_gram


_NEEDS = {
    "label_percent_share": "the label's per cent by weight",
    "ai_w_v": "the weight of active ingredient in a volume of product",
    "ae_w_v": "the weight of acid equivalent in a volume of product",
    "ai_g_l": "the weight of active ingredient in a volume of product",
    "ae_g_l": "the weight of acid equivalent in a volume of product",
}
_G_L = {
    "ai_w_v": Fraction(_G_L_PER_W_V),
    "ae_w_v": Fraction(_G_L_PER_W_V),
    "ai_g_l": Fraction(1),
    "ae_g_l": Fraction(1),
    "product_g_l": Fraction(1),
    "product_oz_gal": _G_L_PER_OZ_GAL,
}


def _undiluted(facts: LabelFacts) -> dict[str, Fraction | None]:
    """Return the strength of the product itself on every liquid basis."""
    ai, ae = facts.ai_g_per_l, facts.ae_g_per_l
    return {
        "product_v_v": Fraction(100),
        "label_percent_share": facts.ai_percent_w_w,
        "ai_w_v": None if ai is None else ai / _G_L_PER_W_V,
        "ae_w_v": None if ae is None else ae / _G_L_PER_W_V,
        "ai_g_l": ai,
        "ae_g_l": ae,
    }


def _basis(basis: str | None, where: str) -> str:
    if basis is None or basis == "":
        raise BasisMissing(where=where)
    if not isinstance(basis, str):
        raise TypeError(f"a basis is a name, not {type(basis).__name__}")
    if basis not in BASES:
        raise BasisUnknown(where=where, shown=quoted(basis))
    return basis


def _wanted(value: Fraction | int | str, basis: str, where: str) -> Fraction:
    wanted = exact(value, where=where)
    if wanted <= 0:
        raise StrengthNotPositive(where=where)
    if wanted > 100 if basis not in _G_L else wanted * _G_L[basis] > _MOST_G_L:
        raise StrengthAbove100(where=where, basis=basis)
    return wanted


def _per_gram(facts: LabelFacts, basis: str) -> Fraction | None:
    """Return what a gram of dry product holds of that which the basis weighs [g]."""
    if basis in DRY_BASES:
        return Fraction(1)
    percent = facts.ai_percent_w_w if basis.startswith("ai_") else facts.ae_percent_w_w
    return None if percent is None else percent / 100
