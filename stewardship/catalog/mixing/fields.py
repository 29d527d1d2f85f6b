"""What may be asked of the mix planner; exactly one way of asking at a time."""

from collections.abc import Callable
from fractions import Fraction
from typing import Annotated, Any
from uuid import UUID

from msgspec import Meta

from stewardship.catalog.fields import Carrier
from stewardship.catalog.models import Product, Species
from stewardship.journal.fields import Area, Closed, Mass, Name, Ref, Volume
from stewardship.places.models import Unit
from stewardship.rules import units
from stewardship.rules.methods import HerbicideMethod
from stewardship.rules.mixes import fraction_of_parts
from stewardship.rules.refusals import RuleViolation
from stewardship.rules.strength import DRY_BASES, check_strength
from stewardship.rules.units import Dimension


class MixUnclear(RuleViolation):
    """What is asked for cannot be told, or is asked in two ways at once."""

    code = "mix_unclear"


class Strength(Closed, frozen=True):
    """A strength with its basis: a bare per cent is refused."""

    value: Annotated[str, Meta(max_length=40)]
    basis: Annotated[str, Meta(max_length=40)] | None = None

    def __post_init__(self) -> None:
        """Refuse a strength that does not say what it is a per cent of, or that cannot be."""
        try:
            check_strength(self.value, self.basis)
        except RuleViolation as refusal:
            raise ValueError(str(refusal)) from refusal


class PartsRatio:
    """Parts by name, ``{"product": 1, "carrier": 4}`` being 20 %; whole numbers or decimal text."""

    def __init__(self, fraction: Fraction) -> None:
        self.fraction = fraction

    @classmethod
    def read(cls, value: Any) -> "PartsRatio":
        """Refuse a ratio that does not name its two parts."""
        if isinstance(value, dict) and not all(_is_part(part) for part in value.values()):
            raise ValueError('Write each part as a whole number or as decimal text, such as 4 or "2.5".')
        return cls(fraction_of_parts(value))

    @classmethod
    def schema(cls) -> dict[str, Any]:
        """Return its JSON Schema."""
        part = {"oneOf": [{"type": "integer", "minimum": 1}, {"type": "string", "maxLength": 20}]}
        properties = {"product": part, "carrier": part}
        return {"type": "object", "description": cls.__doc__, "properties": properties, "required": list(properties)}


class Amount(Closed, frozen=True):
    """A volume or a mass of product."""

    value: Annotated[str, Meta(max_length=40)]
    unit: Annotated[str, Meta(max_length=20)]

    def __post_init__(self) -> None:
        """Refuse what is neither."""
        try:
            self.amount()
        except RuleViolation as refusal:
            raise ValueError(str(refusal)) from refusal

    @property
    def dimension(self) -> Dimension:
        """Volume, or mass where the unit is one of mass."""
        return Dimension.MASS if self.unit in units.units_of(Dimension.MASS) else Dimension.VOLUME

    def amount(self) -> int:
        """Return the integer in base units [nL, or µg]."""
        return units.to_base(self.value, self.unit, self.dimension)


class MixPart(Closed, frozen=True):
    """A product in the mix, with its strength where that is how the mix is asked for."""

    product: Annotated[UUID, Ref(Product)]
    strength: Strength | None = None


class MixAdjuvant(Closed, frozen=True):
    """An adjuvant or dye: by volume of it in a volume of mix, or a dry one by weight."""

    name: Name
    strength: Strength

    def __post_init__(self) -> None:
        """Refuse a strength by something that no label of an adjuvant states here."""
        if self.strength.basis not in ("product_v_v", *DRY_BASES):
            raise ValueError(f"The strength of an adjuvant is by product: product_v_v, {' or '.join(DRY_BASES)}.")


class LeftoverPart(Closed, frozen=True):
    """A product in a leftover mix, with its strength there."""

    product: Annotated[UUID, Ref(Product)]
    strength: Strength


class Leftover(Closed, frozen=True):
    """A mix that is left over. Without ``parts`` its contents are unknown, and it cannot be used."""

    volume: Volume
    parts: Annotated[list[LeftoverPart], Meta(max_length=8)] | None = None
    adjuvants: Annotated[list[MixAdjuvant], Meta(max_length=8)] = []
    carrier: Carrier | None = None


class Have(Closed, frozen=True):
    """What is at hand: product, carrier or both."""

    product: Volume | None = None
    carrier: Volume | None = None


class Rate(Closed, frozen=True):
    """So much product, and perhaps so much finished mix, on so much ground."""

    product: Amount
    per: Area
    mix: Volume | None = None


class MixPlan(Closed, frozen=True):
    """A mix that is asked for, in exactly one of these ways.

    ``make`` with a strength for each part; ``make`` with ``parts_ratio``; ``rate`` and ``area`` with ``make`` or the
    rate of mix; ``have`` (so much product at a strength, or product and carrier as poured); ``leftover`` alone, brought
    down to a strength. A ``leftover`` beside the first three, or beside ``have``, is topped up. With a ``unit`` its
    ceilings and sensitive areas are compared too.
    """

    parts: Annotated[list[MixPart], Meta(max_length=8)] = []
    make: Volume | None = None
    adjuvants: Annotated[list[MixAdjuvant], Meta(max_length=8)] = []
    carrier: Carrier | None = None
    parts_ratio: PartsRatio | None = None
    rate: Rate | None = None
    area: Area | None = None
    have: Have | None = None
    leftover: Leftover | None = None
    finest_mark: Volume | None = None
    finest_weight: Mass | None = None
    method: HerbicideMethod | None = None
    species: Annotated[UUID, Ref(Species)] | None = None
    unit: Annotated[UUID, Ref(Unit)] | None = None

    def __post_init__(self) -> None:
        """Refuse what is asked in no way, or in two."""
        problem = _CHECKS[self.way](self)
        if problem:
            raise ValueError(problem) from MixUnclear(problem)

    @property
    def way(self) -> str:
        """The way in which the mix is asked for: ratio, rate, have, make, dilute, or unclear."""
        ways = {"ratio": self.parts_ratio, "rate": self.rate or self.area, "have": self.have}
        named = [way for way, value in ways.items() if value is not None]
        if len(named) > 1:
            return "unclear"
        if named:
            return named[0]
        if self.make is not None:
            return "make"
        return "unclear" if self.leftover is None else "dilute"

    @property
    def strengths(self) -> list[Strength]:
        """The strengths that are given for parts."""
        return [part.strength for part in self.parts if part.strength is not None]


def _is_part(part: Any) -> bool:
    return isinstance(part, str) or (isinstance(part, int) and not isinstance(part, bool))


def _make(wish: MixPlan) -> str:
    if len(wish.strengths) != len(wish.parts) or not wish.parts:
        return "Give each product of the mix its strength, or ask by parts_ratio, by rate and area, or with have."
    return ""


def _ratio(wish: MixPlan) -> str:
    if wish.make is None:
        return "Say with make how much mix is wanted: the parts alone say only how strong it is."
    return _one_without_strength(wish)


def _rate(wish: MixPlan) -> str:
    if wish.rate is None or wish.area is None:
        return "A rate needs an area, and an area a rate: give both."
    if (wish.make is None) == (wish.rate.mix is None):
        return "Say how much mix it is to be, in one way: with make, or with the rate of mix in rate."
    return _one_without_strength(wish)


def _have(wish: MixPlan) -> str:
    assert wish.have
    if wish.make is not None:
        return "With have the amount of mix is what comes out: leave make away."
    if wish.adjuvants:
        return "Adjuvants are planned into an amount of mix: ask with make."
    if len(wish.parts) > 1 or (wish.have.product is not None) != bool(wish.parts):
        return "With have.product name in parts the one product that it is; without it, none."
    if wish.have.product is None and wish.have.carrier is None:
        return "Say what is at hand: product, carrier or both."
    return _have_strength(wish, wish.have)


def _have_strength(wish: MixPlan, have: Have) -> str:
    if wish.strengths and (have.carrier is not None or wish.leftover is not None):
        return "What is poured together makes its own strength: leave the strength away, or the carrier and leftover."
    if not wish.strengths and have.carrier is None and wish.leftover is None:
        return "Give the strength that is wanted, or the carrier that the product was poured into."
    if have.product is None and wish.leftover is None:
        return "Carrier alone makes no mix: name the product, or the leftover that it is poured into."
    return ""


def _dilute(wish: MixPlan) -> str:
    if len(wish.parts) != 1 or not wish.strengths or wish.adjuvants:
        return "To bring a leftover down with carrier, name one product of it with the strength that is wanted."
    return ""


def _unclear(wish: MixPlan) -> str:
    return "Say how much to make, in one way: make, parts_ratio with make, rate with area, have, or a leftover alone."


def _one_without_strength(wish: MixPlan) -> str:
    if len(wish.parts) != 1 or wish.strengths:
        return "Asked in this way, name one product and no strength: the ratio or the rate says how strong it is."
    return ""


_CHECKS: dict[str, Callable[[MixPlan], str]] = {
    "make": _make, "ratio": _ratio, "rate": _rate, "have": _have, "dilute": _dilute, "unclear": _unclear,
}  # fmt: skip
