"""Pouring: whole base units, the marks of a measure, and the order of the steps."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor
from typing import Literal

from stewardship.rules.refusals import RuleViolation
from stewardship.rules.shares import split_exactly

Role = Literal["product", "adjuvant"]
Measure = Literal["volume", "mass"]
Doing = Literal["leftover", "carrier", "product", "adjuvant"]


class MarkTooCoarse(RuleViolation):
    """The finest mark of the measure is more than the amount to pour."""

    code = "mark_too_coarse"
    message = "The finest mark of this measure is more than the {key} to add. Take a finer measure, or make more mix."
    where = "finest_mark"


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """One thing to pour: the exact amount and the finest mark of its measure, in nL (volume) or ug (mass)."""

    key: str
    role: Role
    dimension: Measure
    amount: Fraction
    finest_mark: int | Fraction | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Pour:
    """An amount of product or adjuvant, ``planned`` and as ``poured`` to the mark: nL of volume, ug of mass."""

    key: str
    role: Role
    dimension: Measure
    planned: int
    poured: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Step:
    """One step at the tank, by number.

    ``what``: leftover, carrier, product or adjuvant; ``key``: which product, adjuvant or carrier. ``amount``: nL, or ug
    where ``dimension`` is mass. ``level_nl``: what is in the tank after it [nL]. ``to``: "half" of the tank, the
    "line" that is the full mix, or None.
    """

    number: int
    what: Doing
    key: str
    dimension: Measure
    amount: int
    level_nl: int
    to: Literal["half", "line"] | None


def pour_lines(lines: Sequence[Line], *, room_nl: int, whole_down: bool) -> tuple[Pour, ...]:
    """Return each line in whole base units and at the mark; the volumes never exceed ``room_nl`` [nL].

    Planned amounts are rounded half to even; where they leave no room for carrier they are split so that they add up
    to ``room_nl`` exactly. Poured amounts go to the nearest mark, or all to the mark below with ``whole_down`` (a
    ceiling applies) and where the nearest ones would overflow the tank. Raises MarkTooCoarse.
    """
    planned = _planned(lines, room_nl)
    poured = _poured(lines, planned, down=whole_down)
    if _wet_nl(lines, poured) > room_nl:
        poured = _poured(lines, planned, down=True)
    return tuple(
        Pour(key=line.key, role=line.role, dimension=line.dimension, planned=amount, poured=mark)
        for line, amount, mark in zip(lines, planned, poured, strict=True)
    )


def steps_of(
    pours: Sequence[Pour], *, leftover_nl: int, carrier: str | None, carrier_nl: int, total_nl: int
) -> tuple[Step, ...]:
    """Return the numbered steps: what is left over, carrier to half the tank, the pours in order, carrier to the line.

    A product used undiluted takes one step and no carrier. Where less carrier is wanted than half a tank, all of it
    goes first. A label that states another order overrules this one.

    Source: Missouri DOT, Engineering Policy Guide 821.12 (tank half full first, then product, then to the line).
    """
    first_nl = min(carrier_nl, max(0, total_nl // 2 - leftover_nl))
    wanted: list[tuple[Doing, str, Measure, int]] = [
        ("leftover", "", "volume", leftover_nl),
        ("carrier", carrier or "", "volume", first_nl),
        *((pour.role, pour.key, pour.dimension, pour.poured) for pour in pours),
        ("carrier", carrier or "", "volume", carrier_nl - first_nl),
    ]
    steps: list[Step] = []
    level_nl = 0
    for what, key, dimension, amount in (step for step in wanted if step[-1]):
        level_nl += amount if dimension == "volume" else 0
        to = _line_reached(what, dimension, level_nl, total_nl)
        steps.append(
            Step(
                number=len(steps) + 1, what=what, key=key, dimension=dimension, amount=amount, level_nl=level_nl, to=to
            )
        )
    return tuple(steps)


def _line_reached(what: Doing, dimension: Measure, level_nl: int, total_nl: int) -> Literal["half", "line"] | None:
    if dimension == "volume" and level_nl == total_nl:
        return "line"
    return "half" if what == "carrier" and level_nl == total_nl // 2 else None


def _planned(lines: Sequence[Line], room_nl: int) -> list[int]:
    planned = [round(line.amount) for line in lines]
    wet = [place for place, line in enumerate(lines) if line.dimension == "volume"]
    exact_nl = [lines[place].amount for place in wet]
    carrier_nl = room_nl - sum(exact_nl)
    if room_nl > 0 and (carrier_nl == 0 or sum(planned[place] for place in wet) > room_nl):
        for place, whole in zip(wet, split_exactly(room_nl, [*exact_nl, carrier_nl]), strict=False):
            planned[place] = whole
    return planned


def _poured(lines: Sequence[Line], planned: Sequence[int], *, down: bool) -> list[int]:
    return [
        whole if line.finest_mark is None or line.amount == 0 else _at_mark(line, line.finest_mark, down=down)
        for line, whole in zip(lines, planned, strict=True)
    ]


def _at_mark(line: Line, mark: int | Fraction, *, down: bool) -> int:
    """Return the amount at the mark below, or at the nearest: of two equally near the weaker mix."""
    if line.amount < mark:
        raise MarkTooCoarse(key=line.key)
    if down:
        return floor(floor(line.amount / mark) * mark)
    return round(ceil(line.amount / mark - Fraction(1, 2)) * mark)


def _wet_nl(lines: Sequence[Line], poured: Sequence[int]) -> int:
    return sum(amount for line, amount in zip(lines, poured, strict=True) if line.dimension == "volume")
