"""Shares: how a batch, a bottle or a drum divides over the places where it was used, to the last nanolitre.

The product used in a place is the product in the batch times the share of the batch used there: New York State's
Pesticide Reporting Law guidance, "common problems" tables. Shares are whole nanolitres and add up to the batch exactly.
"""

from collections.abc import Sequence
from fractions import Fraction

from stewardship.rules.refusals import RuleViolation


class BatchOverdrawn(RuleViolation):
    """More is taken than is left."""

    code = "batch_overdrawn"
    message = "More was taken than is left of this batch. Read the containers again, or look for a use entered twice."
    where = "mix"


class AmountNotPositive(RuleViolation):
    """An amount of nothing, or of less."""

    code = "amount_not_positive"
    message = "Give more than nothing for {what}."


class WeightNegative(RuleViolation):
    """A share below nothing."""

    code = "share_negative"
    message = "A share cannot be less than nothing. Give each line its stems or its part of the whole."
    where = "shares"


class NothingToShareBy(RuleViolation):
    """No line has a share."""

    code = "shares_missing"
    message = "Nothing says how to split this amount: give at least one line some stems or a share."
    where = "shares"


def take_nl(*, left_nl: int, wanted_nl: int, entries: int = 1) -> int:
    """Return the mix [nL] that a use takes out of what is left of a batch [nL].

    Each entry was rounded to a nanolitre, so ``wanted_nl`` may exceed ``left_nl`` by one nanolitre for each of the
    ``entries`` made on the batch, this one among them: it then takes exactly what is left (128 fluid ounces, each
    rounded, exceed a gallon by 56 nL). Raises AmountNotPositive and BatchOverdrawn; an empty batch gives nothing.
    """
    if wanted_nl <= 0:
        raise AmountNotPositive(what="the mix", where="mix")
    if left_nl <= 0 or wanted_nl - left_nl > entries:
        raise BatchOverdrawn(left_nl=left_nl, wanted_nl=wanted_nl)
    return min(wanted_nl, left_nl)


def share_nl(*, product_nl: int, total_nl: int, mix_nl: int, mix_left_nl: int, product_left_nl: int) -> int:
    """Return the product [nL] in a line that takes ``mix_nl`` [nL] out of a batch, in whole nanolitres.

    It is ``product_nl`` (in the whole batch) x ``mix_nl`` / ``total_nl``, half to even, and never more than
    ``product_left_nl``; the line that leaves no mix takes all product left, so the lines add up to the batch exactly.
    ``mix_left_nl`` and ``product_left_nl`` are what is left before this line. The same rule serves each product of a
    tank mix. Raises AmountNotPositive, and BatchOverdrawn when the line takes more than is left (see ``take_nl``).
    """
    if mix_nl <= 0:
        raise AmountNotPositive(what="the mix", where="mix")
    if mix_nl > mix_left_nl:
        raise BatchOverdrawn(left_nl=mix_left_nl, wanted_nl=mix_nl)
    if mix_nl == mix_left_nl:
        return product_left_nl
    return min(round(Fraction(product_nl * mix_nl, total_nl)), product_left_nl)


def substance_ug(*, product_nl: int, g_per_l: Fraction) -> int:
    """Return the active ingredient or acid [ug] in a line's stored product [nL], half to even.

    ``g_per_l`` is grams of substance in a litre of product; a gram per litre is a thousandth of a ug per nL.
    """
    return round(product_nl * g_per_l / 1000)


def substance_in_dry_ug(*, product_ug: int, g_per_kg: Fraction) -> int:
    """Return the active ingredient or acid [ug] in a line's stored dry product [ug], half to even.

    ``g_per_kg`` is grams of substance in a kilogram of product: ten times the label's per cent by weight.
    """
    return round(product_ug * g_per_kg / 1000)


def split_exactly(total: int, weights: Sequence[int | Fraction]) -> list[int]:
    """Split a whole ``total`` by ``weights`` (stems, or stated shares) into whole parts that add up to it exactly.

    Each part is rounded down; the units left over go to the largest remainders, the earlier line first among equals
    (largest-remainder method). No part is a unit or more away from its exact share. Raises AmountNotPositive for a
    total below nothing, WeightNegative, and NothingToShareBy when all weights are zero.
    """
    if total < 0:
        raise AmountNotPositive(what="what is split")
    if any(weight < 0 for weight in weights):
        raise WeightNegative
    whole = sum(weights)
    if whole == 0:
        raise NothingToShareBy
    exact = [Fraction(total) * weight / whole for weight in weights]
    parts = [share.numerator // share.denominator for share in exact]
    by_remainder = sorted(range(len(parts)), key=lambda line: parts[line] - exact[line])
    for line in by_remainder[: total - sum(parts)]:
        parts[line] += 1
    return parts
