"""Molar masses, and from them the acid in a gram of a salt or an ester.

Weights: IUPAC Commission on Isotopic Abundances and Atomic Weights, Standard atomic weights of the elements 2021
(Prohaska and others, Pure and Applied Chemistry 94(5), 573-600, 2022), table abridged to five significant digits.
The figures are taken down from memory and checked against an independent library. Another set of weights may change
the last printed digit.
"""

import re
from collections.abc import Iterator
from fractions import Fraction

from stewardship.rules.decimals import quoted
from stewardship.rules.refusals import RuleViolation

ATOMIC_WEIGHTS: dict[str, Fraction] = {
    element: Fraction(weight)
    for element, weight in {
        "H": "1.0080", "B": "10.81", "C": "12.011", "N": "14.007", "O": "15.999", "F": "18.998", "Na": "22.990",
        "Mg": "24.305", "Si": "28.085", "P": "30.974", "S": "32.06", "Cl": "35.45", "K": "39.098", "Ca": "40.078",
        "Fe": "55.845", "Cu": "63.546", "Zn": "65.38", "Br": "79.904", "I": "126.90",
    }.items()
}  # fmt: skip

MAX_FORMULA = 80
_PART = re.compile(r"(?P<open>\()|(?:(?P<element>[A-Z][a-z]?)|(?P<close>\)))(?P<count>[0-9]*)")
_MAX_COUNT_DIGITS = 3


class FormulaUnreadable(RuleViolation):
    """The text is not a sum formula."""

    code = "formula_unreadable"
    message = (
        "{shown} is not a sum formula we can read: write elements with their counts, such as C3H8NO5P; "
        f"brackets may be used, counts have at most {_MAX_COUNT_DIGITS} digits, the whole at most {MAX_FORMULA} signs."
    )


class ElementUnknown(RuleViolation):
    """The formula names an element that is not in the table."""

    code = "element_unknown"
    message = f"{{shown}} is not an element in our table: {', '.join(ATOMIC_WEIGHTS)}."


class AcidTooHeavy(RuleViolation):
    """More acid than the whole weighs."""

    code = "acid_too_heavy"
    message = "The acid weighs more than the salt or ester that is said to hold it: check both formulas."


def molar_mass(formula: str, *, where: str = "") -> Fraction:
    """Return the molar mass [g/mol] of a sum formula such as ``C3H8NO5P`` or ``(C3H7)2NH``, from ATOMIC_WEIGHTS.

    A salt is written as the sum of its ions. Raises FormulaUnreadable and ElementUnknown; a formula that is no ``str``
    is a TypeError.
    """
    if not isinstance(formula, str):
        raise TypeError(f"a formula is text, not {type(formula).__name__}")
    unreadable = FormulaUnreadable(where=where, shown=quoted(formula))
    if len(formula) > MAX_FORMULA:
        raise unreadable
    sums = [Fraction(0)]  # one for each bracket that is open
    for part in _parts(formula, unreadable):
        if part["open"]:
            sums.append(Fraction(0))
            continue
        if part["close"] and (len(sums) == 1 or not sums[-1]):
            raise unreadable
        mass = sums.pop() if part["close"] else _weight(part["element"], where)
        sums[-1] += mass * _count(part["count"], unreadable)
    if len(sums) != 1 or not sums[0]:
        raise unreadable
    return sums[0]


def acid_equivalent_factor(acid_formula: str, form_formula: str, acids: int = 1) -> Fraction:
    """Return the grams of acid in a gram of its salt or ester that holds ``acids`` molecules of it, in (0, 1].

    The acid is counted whole, with its hydrogen, as labels count it. Raises as ``molar_mass`` does, and AcidTooHeavy if
    the acid would weigh more than the form that holds it; ``acids`` below 1 is a ValueError.

    Source: molar mass of the acid over that of the form, e.g. The Nature Conservancy, Weed Control Methods Handbook,
    2001, page 5.9 (acid equivalent).
    """
    if acids < 1:
        raise ValueError("a form holds at least one molecule of acid")
    factor = acids * molar_mass(acid_formula, where="acid_formula") / molar_mass(form_formula, where="form_formula")
    if factor > 1:
        raise AcidTooHeavy(where="form_formula")
    return factor


def _parts(formula: str, unreadable: FormulaUnreadable) -> Iterator[re.Match[str]]:
    start = 0
    while start < len(formula):
        part = _PART.match(formula, start)
        if part is None:
            raise unreadable
        yield part
        start = part.end()


def _weight(element: str, where: str) -> Fraction:
    if element not in ATOMIC_WEIGHTS:
        raise ElementUnknown(where=where, shown=quoted(element))
    return ATOMIC_WEIGHTS[element]


def _count(digits: str, unreadable: FormulaUnreadable) -> int:
    if len(digits) > _MAX_COUNT_DIGITS or digits.startswith("0"):
        raise unreadable
    return int(digits or 1)
