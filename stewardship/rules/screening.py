"""Figures that are probably slips: screened against the mix, the usual and the length of a day.

A mark is a question to a person, never a refusal and never a correction: the figure may be right. Amounts are whole
base units (nL, mm²). What is usual, the caller states with its source; nothing is built in.

Sources: mistakes that regulators publish (product with its diluent entered as product, decimal slips, wrong units): New
York Pesticide Reporting Law guidance, common problems tables (Cornell, Pesticide Sales and Use Reporting). Comparing an
entry with the median of like ones: the outlier program of the Pesticide Use Report Data User Guide, California DPR,
rev. July 2002. The factors of 10 and 100, a slip of the decimal point by one place or two, and how many earlier lines
make a median are common practice, no source.
"""

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from statistics import median_high, median_low

from stewardship.rules import units
from stewardship.rules.figures import rounded_text
from stewardship.rules.units import Dimension

LEAST_EARLIER = 5
"""How many earlier like lines a median is taken of; fewer say nothing of what is usual."""
LIKE_AMOUNT = Fraction(1, 10)
"""By which part of the larger one two amounts may differ and still be like one another."""
MINUTES_A_DAY = 24 * 60
_NEAR = 2
"""Within which factor of the usual the same number in another unit is offered."""


@dataclass(frozen=True, slots=True)
class Mark:
    """Something to look at again: a code for programs, a sentence with the numbers for people, where it comes from."""

    code: str
    detail: str
    field: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class Entered:
    """What a line says it used of one product: ``value`` and ``unit`` as written, all else in base units.

    ``is_undiluted``: the product is used as it is, so that it is the whole mix.
    """

    product_nl: int
    value: str
    unit: str
    mix_nl: int | None = None
    is_undiluted: bool = False


@dataclass(frozen=True, slots=True)
class Usual:
    """From how much [nL] to how much is usual, and who says so: the label's range, or a median (both ends the same)."""

    low_nl: int | Fraction
    high_nl: int | Fraction
    source: str


def against_mix(line: Entered) -> Mark | None:
    """Mark more product than mix, and the whole mix entered as product where it was diluted."""
    if line.mix_nl is None or line.product_nl < line.mix_nl or (line.is_undiluted and line.product_nl == line.mix_nl):
        return None
    product, mix = _said(line.product_nl, line.unit), _said(line.mix_nl, line.unit)
    source = "New York Pesticide Reporting Law guidance: report undiluted product, not product and diluent"
    if line.product_nl == line.mix_nl:
        detail = f"The product, {product}, is as much as the whole mix. Enter the product before it was diluted."
        return Mark("product_is_whole_mix", detail, "product", source)
    detail = f"The product, {product}, is more than the whole mix, {mix}. Check the amount and its unit."
    return Mark("more_product_than_mix", detail, "product", source)


def usual_of(earlier_nl: Sequence[int]) -> Usual | None:
    """Return the median of earlier like lines [nL]; None for fewer than ``LEAST_EARLIER`` that used something.

    Like lines: the same product, method and species; the caller chooses them.
    """
    amounts = [nl for nl in earlier_nl if nl > 0]
    if len(amounts) < LEAST_EARLIER:
        return None
    twice = median_low(amounts) + median_high(amounts)
    middle = Fraction(twice, 2) if twice % 2 else twice // 2
    return Usual(middle, middle, f"the median of {len(amounts)} earlier like lines")


def against_usual(line: Entered, usual: Usual) -> Mark | None:
    """Mark an amount that is 10 or 100 times the usual or more, or a tenth or a hundredth of it or less.

    Where the same number in another unit would be usual, the mark says so: 12.8 gal for 12.8 fl oz.
    """
    if not line.product_nl or not usual.low_nl:
        return None
    if line.product_nl < 10 * usual.high_nl and usual.low_nl < 10 * line.product_nl:
        return None
    above, below = Fraction(line.product_nl) / usual.high_nl, Fraction(usual.low_nl) / line.product_nl
    times, is_above = (above, True) if above > 1 else (below, False)
    code = f"{'hundred' if times >= 100 else 'ten'}fold_{'above' if is_above else 'below'}_usual"
    end = usual.high_nl if is_above else usual.low_nl
    shown = f"{rounded_text(times, 3)} {'times the usual' if is_above else 'times less than the usual'}"
    detail = f"{line.value} {line.unit} is {shown} {_said(round(end), line.unit)} ({usual.source})."
    return Mark(code, f"{detail} {_hint(line, usual)}", "product", usual.source)


def _hint(line: Entered, usual: Usual) -> str:
    """Return what to check: the unit that makes the number usual, else number and unit."""
    others = [unit for unit in units.units_of(Dimension.VOLUME) if unit != line.unit]
    number = Fraction(line.value)
    near = [unit for unit in others if _off(number * units.UNITS[unit].per_unit, usual) <= _NEAR]
    best = min(near, key=lambda unit: _off(number * units.UNITS[unit].per_unit, usual), default=None)
    return f"Was it {line.value} {best}?" if best else "Check the number, its decimal point and the unit."


def _off(amount: Fraction, usual: Usual) -> Fraction:
    """Return by which factor an amount lies outside the usual; 1 within."""
    return max(Fraction(1), amount / usual.high_nl, usual.low_nl / amount)


def hours_in_a_day(minutes: Iterable[int], on: date) -> Mark | None:
    """Mark the time of one person on one local date where it adds up to more than 24 hours.

    On the day of 25 hours that ends summer time the bound stays 24: a mark only asks.
    """
    total = sum(minutes)
    if total <= MINUTES_A_DAY:
        return None
    detail = f"{rounded_text(Fraction(total, 60))} hours on {on} are more than a day has. Check times and dates."
    return Mark("more_hours_than_a_day", detail, "minutes", "A day has 24 hours")


@dataclass(frozen=True, slots=True)
class Line:
    """One product, on one local date, in one unit: what is compared to find the same work entered twice."""

    on_date: date
    unit: Hashable
    species: Hashable
    method: str
    product: Hashable
    amount_nl: int
    entered_by: Hashable


def alike(a: Line, b: Line) -> bool:
    """Tell whether two lines may be the same work entered by two people: a question for a person, nothing is merged.

    Same date, unit, species, method and product, amounts within ``LIKE_AMOUNT`` of the larger, different enterers. One
    person's two lines are two: whoever writes a line sees their own last one.
    """
    same = (a.on_date, a.unit, a.species, a.method, a.product) == (b.on_date, b.unit, b.species, b.method, b.product)
    larger = max(a.amount_nl, b.amount_nl)
    return same and a.entered_by != b.entered_by and abs(a.amount_nl - b.amount_nl) <= larger * LIKE_AMOUNT


def _said(amount_nl: int, unit: str) -> str:
    return f"{units.shown(amount_nl, unit)} {unit}"
