"""The arithmetic of a mix: how much product, how much mix, how much to pour into a full measure.

A strength here is a fraction of volume of FINISHED mix: 20 % v/v is Fraction(1, 5). Volumes are nanolitres, masses
micrograms, both exact; nothing is rounded here.
"""

from collections.abc import Mapping
from fractions import Fraction

from stewardship.rules.decimals import exact
from stewardship.rules.refusals import RuleViolation
from stewardship.rules.shares import AmountNotPositive
from stewardship.rules.strength import ConcentrateTooWeak, StrengthNotPositive

UG_PER_NL_IN_G_PER_L = Fraction(1, 1000)  # 1 g/L = 10**6 ug / 10**9 nL


class UndilutedHasNoCarrier(RuleViolation):
    """Pouring product into carrier never gives the pure product."""

    code = "undiluted_has_no_carrier"
    message = "Product poured into carrier is always weaker than the product itself: use it undiluted, without carrier."


class RatioUnnamed(RuleViolation):
    """A ratio that does not say which part is which."""

    code = "ratio_unnamed"
    message = (
        'Name the parts: {{"product": 1, "carrier": 4}} is one part in five, 20 %. A bare "1:4" means 20 % to some '
        "people and 25 % to others."
    )
    where = "parts_ratio"


class PieceContentUnknown(RuleViolation):
    """The product does not say what one pre-measured piece holds."""

    code = "piece_content_unknown"
    message = "The product does not state how much one piece holds, so pieces cannot be counted as an amount."


def positive(amount: Fraction | int, what: str) -> Fraction:
    """Return an exact amount that is more than nothing; else AmountNotPositive. A float is a TypeError."""
    number = exact(amount)
    if number <= 0:
        raise AmountNotPositive(what=what)
    return number


def part_of_mix(fraction: Fraction | int, *, where: str = "") -> Fraction:
    """Return a fraction of the whole in (0, 1]; else StrengthNotPositive, or ConcentrateTooWeak above the whole."""
    number = exact(fraction)
    if number <= 0:
        raise StrengthNotPositive(where=where)
    if number > 1:
        raise ConcentrateTooWeak(where=where, basis="product_v_v")
    return number


def product_nl(*, mix_nl: int | Fraction, product_fraction: Fraction) -> Fraction:
    """Return the product [nL] in a finished mix of ``mix_nl`` [nL], unrounded.

    ``product_fraction`` is volume of product over volume of FINISHED mix: 20 % v/v is Fraction(1, 5). Poured into a
    full measure of carrier the same product is weaker (see ``product_into_carrier``).

    Source: C1 V1 = C2 V2; e.g. University of Illinois Extension, The Bulletin 10(5), 2006.
    """
    return positive(mix_nl, "the mix") * part_of_mix(product_fraction)


def mix_from_product(*, product_nl: int | Fraction, product_fraction: Fraction) -> Fraction:
    """Return the finished mix [nL] that ``product_nl`` [nL] of product makes at ``product_fraction``, unrounded.

    The other way round of ``product_nl``, from the same C1 V1 = C2 V2.
    """
    return positive(product_nl, "the product") / part_of_mix(product_fraction)


def product_into_carrier(*, carrier_nl: int | Fraction, product_fraction: Fraction) -> Fraction:
    """Return the product [nL] to pour INTO a measure of carrier [nL] so that the whole has ``product_fraction``.

    carrier x p / (1 - p): 20 % takes 32 fl oz into a full gallon, where a finished gallon holds 25.6. Raises
    UndilutedHasNoCarrier at 100 %.
    """
    fraction = part_of_mix(product_fraction)
    if fraction == 1:
        raise UndilutedHasNoCarrier
    return positive(carrier_nl, "the carrier") * fraction / (1 - fraction)


def fraction_of_parts(ratio: object) -> Fraction:
    """Return the fraction of product in finished mix for ``{"product": 1, "carrier": 4}``: Fraction(1, 5).

    The parts are volumes, whole numbers or fractions. Anything that does not name exactly these two parts, such as
    "1:4" or (1, 4), is refused with RatioUnnamed; a part of nothing with AmountNotPositive.
    """
    if not isinstance(ratio, Mapping) or set(ratio) != {"product", "carrier"}:
        raise RatioUnnamed
    product, carrier = positive(ratio["product"], "the product"), positive(ratio["carrier"], "the carrier")
    return product / (product + carrier)


def substance_ug_by_weight(*, mix_nl: int | Fraction, fraction_w_w: Fraction, density_g_per_l: Fraction) -> Fraction:
    """Return the substance [ug] in ``mix_nl`` [nL] that is to hold ``fraction_w_w`` of its own weight of it.

    ``density_g_per_l`` is that of the mix, in practice of its carrier. Source: US Army AMEDD subcourse MD0173,
    Pesticides in the Military, section 2, weight/volume problem Q = A S D / C, without its division by C.
    """
    weight_ug = positive(mix_nl, "the mix") * positive(density_g_per_l, "the density") * UG_PER_NL_IN_G_PER_L
    return weight_ug * part_of_mix(fraction_w_w)


def product_nl_holding(*, substance_ug: int | Fraction, g_per_l: Fraction) -> Fraction:
    """Return the liquid product [nL] that holds ``substance_ug`` [ug] at ``g_per_l`` grams in a litre, unrounded."""
    return positive(substance_ug, "the substance") / (
        positive(g_per_l, "the strength of the product") * UG_PER_NL_IN_G_PER_L
    )


def product_ug_holding(*, substance_ug: int | Fraction, fraction_w_w: Fraction) -> Fraction:
    """Return the dry product [ug] that holds ``substance_ug`` [ug] at ``fraction_w_w`` (an "80 WP" is 4/5)."""
    return positive(substance_ug, "the substance") / part_of_mix(fraction_w_w)


def ug_in_pieces(*, pieces: int, ug_per_piece: int | None) -> Fraction:
    """Return the product [ug] in pre-measured pieces; PieceContentUnknown where the product does not state it."""
    if ug_per_piece is None:
        raise PieceContentUnknown
    return positive(pieces, "the pieces") * positive(ug_per_piece, "the product in a piece")
