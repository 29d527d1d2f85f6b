"""Credits towards the renewal of a licence: what was earned, what counts of it, what is still wanted.

An authority wants so many credits in a cycle of years, some in each category, and may let no more than so many of one
mode (such as online) count. What is beyond a cap was earned and does not count; nothing is moved to another category.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from stewardship.rules.dates import add_years
from stewardship.rules.validity import ValidityRule

NONE = Fraction(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """Credits that are wanted in a category (empty: the core); ``caps``: mode -> the most of it that counts."""

    category: str
    credits: Fraction
    caps: Mapping[str, Fraction] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Earned:
    """Credits of one course: in a category, in a mode, on a day."""

    category: str
    mode: str
    credits: Fraction
    on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Cycle:
    """The days within which credits count, first and last included."""

    first_on: date
    last_on: date

    def holds(self, on: date) -> bool:
        """Tell whether a day lies within it."""
        return self.first_on <= on <= self.last_on


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One category of a ledger: wanted, earned, beyond the caps by mode, counted, lacking."""

    category: str
    wanted: Fraction
    earned: Fraction
    beyond_caps: Mapping[str, Fraction]

    @property
    def counted(self) -> Fraction:
        """Return what counts of what was earned."""
        return self.earned - sum(self.beyond_caps.values(), NONE)

    @property
    def lacking(self) -> Fraction:
        """Return what is still wanted; never below zero."""
        return max(self.wanted - self.counted, NONE)


def ledger(wanted: Sequence[Wanted], earned: Iterable[Earned], *, up_to: date, cycle: Cycle | None) -> list[Line]:
    """Return a line for each category that is wanted, and for each other one in which something was earned.

    Credits count up to and with the day ``up_to``; without a cycle, all that were earned so far.
    """
    within = [each for each in earned if each.on <= up_to and (cycle is None or cycle.holds(each.on))]
    names = dict.fromkeys([*(rule.category for rule in wanted), *sorted({each.category for each in within})])
    rules = {rule.category: rule for rule in wanted}
    nothing = {name: Wanted(category=name, credits=NONE) for name in names}
    return [_line(rules.get(name, nothing[name]), within) for name in names]


def _line(rule: Wanted, earned: Iterable[Earned]) -> Line:
    by_mode: dict[str, Fraction] = {}
    for each in earned:
        if each.category == rule.category:
            by_mode[each.mode] = by_mode.get(each.mode, NONE) + each.credits
    beyond = {mode: total - rule.caps[mode] for mode, total in by_mode.items() if total > rule.caps.get(mode, total)}
    total = sum(by_mode.values(), NONE)
    return Line(category=rule.category, wanted=rule.credits, earned=total, beyond_caps=beyond)


def cycle_of(rule: ValidityRule, years: int, *, issued_on: date | None, last_on: date | None) -> Cycle | None:
    """Return the cycle of a licence that is issued for as long as its cycle: from its issue to its last day.

    None where that does not follow: the licence is renewed more often than its cycle ends, or its rule does not say
    for how long it is issued. Then somebody has to say from when the cycle runs.
    """
    runs_as_long = rule.kind in ("rolling", "fixed_day", "end_of_year") and rule.period_months == years * 12
    if not runs_as_long or issued_on is None or last_on is None:
        return None
    return Cycle(first_on=issued_on, last_on=last_on)


def cycle_from(first_on: date, years: int) -> Cycle:
    """Return the cycle of so many years that runs from a day; 29 February and one year end on 28 February."""
    return Cycle(first_on=first_on, last_on=add_years(first_on, years))
