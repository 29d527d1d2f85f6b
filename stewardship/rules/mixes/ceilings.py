"""Ceilings that are stated in more than one measure: the one that is nearest to full decides."""

from collections.abc import Mapping
from fractions import Fraction

from stewardship.rules.mixes.amounts import positive
from stewardship.rules.refusals import RuleViolation

NEAR = Fraction(4, 5)
"""From this ratio on a warning is due before a ceiling is reached. Common practice, no source."""


class UseUnknown(RuleViolation):
    """A ceiling exists for something whose use is not known."""

    code = "use_unknown"
    message = "How much was used is not known in {missing}, so the ceiling cannot be compared. Unknown is not zero."


class CeilingMissing(RuleViolation):
    """There is no ceiling to compare with."""

    code = "ceiling_missing"
    message = "No stored ceiling applies: there is nothing to compare the use with. Read the label."


def highest_ratio(used: Mapping[str, Fraction | int], ceilings: Mapping[str, Fraction | int]) -> tuple[str, Fraction]:
    """Return which of the ``ceilings`` is fullest and its ratio of use to ceiling (1 is exactly at it).

    Keys are measures such as "volume" and "stems"; ``used`` and ``ceilings`` give each in the same unit, for the same
    area and year. The first of equals is named. Raises CeilingMissing, UseUnknown for a ceiling without a use, and
    AmountNotPositive for a ceiling of nothing.

    Source: PNW Weed Management Handbook, knotweed entry (node 8533): 8.5 quarts or 1,600 stems an acre and year;
    1,600 stems of 5 mL are 99 % of the volume and 100 % of the stems.
    """
    if not ceilings:
        raise CeilingMissing
    missing = sorted(set(ceilings) - set(used))
    if missing:
        raise UseUnknown(missing=", ".join(missing))
    ratios = {name: Fraction(used[name]) / positive(ceiling, "the ceiling") for name, ceiling in ceilings.items()}
    fullest = max(ratios, key=lambda name: ratios[name])
    return fullest, ratios[fullest]
