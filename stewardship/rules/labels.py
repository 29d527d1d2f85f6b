"""What a label states of a product, and what follows from it; the rest is unknown and stays unknown."""

from dataclasses import dataclass, fields, replace
from fractions import Fraction

from stewardship.rules.refusals import RuleViolation

_PERCENT = (Fraction(100), "from 0 to 100 %")
_CONTENT = (Fraction(3000), "from 0 to 3,000 g in a litre")
_RANGES = {
    "ai_percent_w_w": ("per cent of active ingredient", *_PERCENT),
    "ae_percent_w_w": ("per cent of acid equivalent", *_PERCENT),
    "ai_g_per_l": ("weight of active ingredient in a volume", *_CONTENT),
    "ae_g_per_l": ("weight of acid equivalent in a volume", *_CONTENT),
    "ae_per_ai": ("share of acid", Fraction(1), "more than 0, at most 1 g of acid in 1 g of active ingredient"),
    "density_g_per_ml": ("density", Fraction(3), "more than 0, at most 3 g/mL"),
}
_NEVER_ZERO = ("ae_per_ai", "density_g_per_ml")


class LabelFactOutOfRange(RuleViolation):
    """A label fact that no product can have."""

    code = "label_fact_out_of_range"
    message = "No product can have this {fact}: it must be {words}."


@dataclass(frozen=True, slots=True)
class LabelFacts:
    """What the label states of one active ingredient in a product; None is unknown, zero is none.

    ``ai_percent_w_w``, ``ae_percent_w_w`` [% by weight]; ``ai_g_per_l``, ``ae_g_per_l`` [g in a litre of product, or
    unknown for a dry one]; ``ae_per_ai`` [g acid in a g of active ingredient]; ``density_g_per_ml`` [g/mL of product].
    Fractions only: a float is a TypeError, a fact no product can have a LabelFactOutOfRange.
    """

    ai_percent_w_w: Fraction | None = None
    ae_percent_w_w: Fraction | None = None
    ai_g_per_l: Fraction | None = None
    ae_g_per_l: Fraction | None = None
    ae_per_ai: Fraction | None = None
    density_g_per_ml: Fraction | None = None

    def __post_init__(self) -> None:
        """Refuse what no label can state."""
        for name in (field.name for field in fields(self)):
            _check_fact(name, getattr(self, name))


def completed(facts: LabelFacts) -> LabelFacts:
    """Return the facts with what follows from them: acid from active by ``ae_per_ai``, g/L from % by density.

    A stated fact is never replaced, also where two stated ones disagree: printed labels round (the two acid figures of
    one label in print differ by 1 %). Neither the density nor the factor is ever derived from rounded contents.
    Raises LabelFactOutOfRange where the facts contradict each other so far that what follows is no product.
    """
    facts = _with_pair(facts, "ai_percent_w_w", "ae_percent_w_w", facts.ae_per_ai)
    facts = _with_pair(facts, "ai_g_per_l", "ae_g_per_l", facts.ae_per_ai)
    ten_densities = None if facts.density_g_per_ml is None else 10 * facts.density_g_per_ml  # 1 % of 1,000 g = 10 g
    facts = _with_pair(facts, "ai_percent_w_w", "ai_g_per_l", ten_densities)
    return _with_pair(facts, "ae_percent_w_w", "ae_g_per_l", ten_densities)


def _check_fact(name: str, value: Fraction | None) -> None:
    if value is None:
        return
    if not isinstance(value, Fraction):
        raise TypeError(f"{name} must be a Fraction or None, not {type(value).__name__}")
    fact, most, words = _RANGES[name]
    if not 0 <= value <= most or (value == 0 and name in _NEVER_ZERO):
        raise LabelFactOutOfRange(where=name, fact=fact, words=words)


def _with_pair(facts: LabelFacts, first: str, second: str, ratio: Fraction | None) -> LabelFacts:
    """Fill in the unknown one of two facts, ``second`` being ``first`` x ``ratio``."""
    one, two = getattr(facts, first), getattr(facts, second)
    if ratio is None or (one is None) == (two is None):
        return facts
    return replace(facts, **({second: one * ratio} if two is None else {first: two / ratio}))
