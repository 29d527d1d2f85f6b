"""What is in a mix, and what comes of pouring two together.

Volumes add up: mixing is taken to lose and gain none, and a dry product to take no room, as every published mixing
table does. A leftover keeps its composition through any number of top-ups; amounts stay exact fractions.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import product as pairs_of

from stewardship.rules.mixes.amounts import part_of_mix, positive
from stewardship.rules.refusals import RuleViolation
from stewardship.rules.shares import AmountNotPositive

KINDS = ("products", "adjuvants", "dry_products", "dry_adjuvants")
Amounts = Mapping[str, Fraction]


class ContentsUnknown(RuleViolation):
    """Nobody knows what is in it."""

    code = "contents_unknown"
    message = (
        "What is in this container is not known, so it cannot be used, pooled, diluted or topped up. Keep it apart "
        "until it is identified with evidence, or disposed of."
    )


class CarriersDiffer(RuleViolation):
    """Oil and water."""

    code = "carriers_differ"
    message = "One mix is carried in {one}, the other in {other}: mixes in different carriers are not poured together."
    where = "carrier"


class ProductsNotCompatible(RuleViolation):
    """Two products would meet that nobody has marked as compatible."""

    code = "products_not_compatible"
    message = "{one} and {other} are not marked as compatible. Their labels say whether they may be mixed."


class CarrierMissing(RuleViolation):
    """A diluted mix without a word on what it is diluted with."""

    code = "carrier_missing"
    message = "Say which carrier the mix is made with, such as water or basal oil."
    where = "carrier"


class PartsAbove100(RuleViolation):
    """More in a mix than the mix."""

    code = "parts_above_100"
    message = "The parts together are more than the whole mix. Check each strength, and what it is a percent of."
    where = "parts"


class LeftoverTooWeak(RuleViolation):
    """A leftover is weaker than wanted, and nothing that can still be added mends it."""

    code = "leftover_too_weak"
    message = "The leftover is too weak: there is no room left in this much mix to bring it to the strength wanted."
    where = "leftover"


@dataclass(frozen=True, kw_only=True, slots=True)
class Composition:
    """What is in a quantity of mix.

    ``carrier``: its name, None where there is none (undiluted product). ``total_nl``: the whole [nL]. ``products`` and
    ``adjuvants``: volume by key [nL]; ``products`` is None where the contents are unknown. ``dry_products`` and
    ``dry_adjuvants``: mass by key [ug]. Raises AmountNotPositive, PartsAbove100, CarrierMissing.
    """

    carrier: str | None
    total_nl: Fraction | int
    products: Amounts | None
    adjuvants: Amounts = field(default_factory=dict)
    dry_products: Amounts = field(default_factory=dict)
    dry_adjuvants: Amounts = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse what no container can hold."""
        positive(self.total_nl, "the mix")
        for kind in KINDS:
            for key, amount in (getattr(self, kind) or {}).items():
                positive(amount, key)
        if self.products is None:
            return
        if self.carrier_nl < 0:
            raise PartsAbove100
        if self.carrier is None and self.carrier_nl > 0:
            raise CarrierMissing

    @property
    def carrier_nl(self) -> Fraction:
        """The carrier in it [nL]: the total less the rest. ContentsUnknown where that is so."""
        return Fraction(self.total_nl) - sum(_known(self).values()) - sum(self.adjuvants.values())

    def volume_nl(self, key: str) -> Fraction:
        """Return the volume of a liquid product or adjuvant in it [nL]; zero when none is."""
        return Fraction(_known(self).get(key, 0)) + Fraction(self.adjuvants.get(key, 0))

    def mass_ug(self, key: str) -> Fraction:
        """Return the mass of a dry product or adjuvant in it [ug]; zero when none is."""
        _known(self)
        return Fraction(self.dry_products.get(key, 0)) + Fraction(self.dry_adjuvants.get(key, 0))

    def fraction(self, key: str) -> Fraction:
        """Return the volume of a product or adjuvant in a volume of the mix: 20 % v/v is Fraction(1, 5)."""
        return self.volume_nl(key) / Fraction(self.total_nl)

    def g_per_l(self, key: str) -> Fraction:
        """Return the grams of a dry product or adjuvant in a litre of the mix (1 ug in a nL is 1,000 g in a litre)."""
        return 1000 * self.mass_ug(key) / Fraction(self.total_nl)

    @property
    def product_keys(self) -> frozenset[str]:
        """The products in it, liquid and dry. ContentsUnknown where that is so."""
        return frozenset(_known(self)) | frozenset(self.dry_products)


def mix_from_pour(
    *,
    products: Amounts | Mapping[str, int],
    carrier: str | None = None,
    carrier_nl: int | Fraction = 0,
    adjuvants: Amounts | Mapping[str, int] | None = None,
    dry_products: Amounts | Mapping[str, int] | None = None,
    dry_adjuvants: Amounts | Mapping[str, int] | None = None,
) -> Composition:
    """Return what was made by what was poured [nL; ug of dry ones]: its strengths are ``fraction`` and ``g_per_l``.

    25.6 fl oz of product into a full 128 fl oz of water make 1/6, not 1/5. Raises AmountNotPositive, CarrierMissing.
    """
    if carrier_nl < 0:
        raise AmountNotPositive(what="the carrier")
    wet = [*products.values(), *(adjuvants or {}).values(), carrier_nl]
    return Composition(
        carrier=carrier if carrier_nl else None,
        total_nl=sum(map(Fraction, wet), Fraction(0)),
        products=_exact(products),
        adjuvants=_exact(adjuvants),
        dry_products=_exact(dry_products),
        dry_adjuvants=_exact(dry_adjuvants),
    )


def portion(mix: Composition, *, volume_nl: int | Fraction) -> Composition:
    """Return the composition of ``volume_nl`` [nL] of a mix: the same strengths, other amounts."""
    _known(mix)
    scale = positive(volume_nl, "the mix") / Fraction(mix.total_nl)
    return Composition(
        carrier=mix.carrier,
        total_nl=Fraction(volume_nl),
        **{kind: {key: amount * scale for key, amount in getattr(mix, kind).items()} for kind in KINDS},
    )


def combine(one: Composition, other: Composition, *, compatible: Collection[frozenset[str]] = ()) -> Composition:
    """Return the composition of two mixes poured together, computed from both; any number of times, in any order.

    Pure product (no carrier) goes into any. Raises ContentsUnknown, CarriersDiffer, and ProductsNotCompatible where
    two products meet that are in neither parent together and whose pair is not in ``compatible``.
    """
    _known(one), _known(other)
    refuse_other_carrier(one.carrier, other.carrier)
    refuse_new_pairs(one.product_keys, other.product_keys, compatible)
    return Composition(
        carrier=one.carrier or other.carrier,
        total_nl=Fraction(one.total_nl) + Fraction(other.total_nl),
        **{kind: merged(getattr(one, kind), getattr(other, kind)) for kind in KINDS},
    )


def carrier_to_dilute(mix: Composition, *, key: str, fraction: Fraction) -> Fraction:
    """Return the carrier [nL] that brings the product ``key`` of a leftover down to ``fraction`` of finished mix.

    Zero when it has that strength already. Raises ContentsUnknown, and LeftoverTooWeak when it is weaker.
    """
    needed = mix.volume_nl(key) / part_of_mix(fraction, where=key)
    if needed < mix.total_nl:
        raise LeftoverTooWeak("The leftover is already weaker than that: carrier only makes it weaker still.")
    return needed - Fraction(mix.total_nl)


def merged(one: Amounts, other: Amounts) -> dict[str, Fraction]:
    """Return the amounts of two mixes by key, added up."""
    return {key: Fraction(one.get(key, 0)) + Fraction(other.get(key, 0)) for key in {**one, **other}}


def refuse_other_carrier(one: str | None, other: str | None) -> None:
    """Raise CarriersDiffer unless the carriers are one, or one of the mixes has none."""
    if one and other and one != other:
        raise CarriersDiffer(one=one, other=other)


def refuse_new_pairs(one: Collection[str], other: Collection[str], compatible: Collection[frozenset[str]]) -> None:
    """Raise ProductsNotCompatible for two products that were not together before and are not marked as compatible."""
    for first, second in pairs_of(sorted(one), sorted(other)):
        pair = frozenset((first, second))
        known = len(pair) == 1 or pair <= set(one) or pair <= set(other) or pair in compatible
        if not known:
            raise ProductsNotCompatible(one=first, other=second)


def _known(mix: Composition) -> Amounts:
    if mix.products is None:
        raise ContentsUnknown
    return mix.products


def _exact(amounts: Mapping[str, Fraction] | Mapping[str, int] | None) -> dict[str, Fraction]:
    return {key: positive(amount, key) for key, amount in (amounts or {}).items()}
