"""Balances: whether what was mixed is what was used, left, disposed and lost, within what measuring can tell.

A batch is one account. What leaves it is a *draw*; what somebody found in a container is a *measure*, which draws
nothing. The balance is a pure function of these facts: in whatever order they reach the book, it comes out alike.

Let T be the moment of the latest measure that is still open. What had to be there at T is the mix less what was drawn
until then; what was there is every measure that was open at T; the one less the other is the *measuring difference*.
Above nothing it is missing, below nothing the facts say more than was mixed. What should be left now is what was there
at T less what was drawn since. Without an open measure nobody looked: all that the book has left is the difference. So

    mix = draws + difference + leftover      to the nanolitre, whatever was recorded.

Amounts are whole nanolitres. Cups and sponges never close to nothing, so a difference is judged by a tolerance: for
each statement behind it a part of its amount, by how it is known, and what an emptied vessel keeps, by method. The
figures are ours: common practice, no source. A difference beyond it wants a reason from a person; it is no verdict.
"""

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import Literal, NamedTuple

from stewardship.rules.decimals import quoted

Drawn = Literal["applied", "poured_on", "disposed", "lost", "spilled", "returned"]
DRAWN: tuple[Drawn, ...] = ("applied", "poured_on", "disposed", "lost", "spilled", "returned")

PART_OF_AMOUNT = {
    "measured": Fraction(1, 100),
    "read_off_container": Fraction(2, 100),
    "apportioned": Fraction(2, 100),
    "estimated": Fraction(10, 100),
}
"""How an amount is known -> by which part of it it may be off. Common practice, no source."""

KEPT_NL = {
    "cut_stump": 2_000_000,
    "basal_bark": 3_000_000,
    "foliar": 3_000_000,
    "hack_and_squirt": 1_000_000,
    "injection": 1_000_000,
    "frill": 1_000_000,
}
"""Method -> what sponge, sprayer or bottle keeps once it is emptied [nL]. Common practice, no source."""

MOST_OF_MIX = Fraction(1, 10)
"""Above this part of the mix no difference is within tolerance, however roughly it is known. Common practice, no
source."""


class Statement(NamedTuple):
    """How an amount is known, and in what it was carried.

    ``vessel`` (a session, a container: anything that can be compared) keeps a little by its ``method``, once for all
    lines that name the same one; without a vessel nothing is kept.
    """

    how_known: str = "measured"
    method: str = ""
    vessel: Hashable | None = None


MEASURED = Statement()


@dataclass(frozen=True, slots=True)
class Draw:
    """Mix that left a batch: for what, how much [nL], when, how that is known."""

    what: Drawn
    nl: int
    at: datetime
    said: Statement = MEASURED


@dataclass(frozen=True, slots=True)
class Measure:
    """What was found in one container [nL], from when until when it stood so; ``ended_at`` is None while it does."""

    nl: int
    at: datetime
    ended_at: datetime | None = None
    said: Statement = MEASURED


@dataclass(frozen=True, slots=True)
class Balance:
    """A batch's account [nL]: ``mix_nl`` = the sum of ``drawn_nl`` + ``difference_nl`` + ``leftover_nl``."""

    mix_nl: int
    drawn_nl: dict[Drawn, int]
    difference_nl: int
    leftover_nl: int
    tolerance_nl: int
    measured_at: datetime | None
    """T: when the latest open measure was taken; None where nobody looked."""

    @property
    def left_nl(self) -> int:
        """Return what the book has left: the mix less every draw."""
        return self.mix_nl - sum(self.drawn_nl.values())

    @property
    def is_measured(self) -> bool:
        """Tell whether somebody measured what is left."""
        return self.measured_at is not None

    @property
    def balances(self) -> bool:
        """Tell whether the difference lies within the tolerance, and no more was drawn since T than was there."""
        return abs(self.difference_nl) <= self.tolerance_nl and self.leftover_nl >= -self.tolerance_nl


def balance(mix_nl: int, draws: Iterable[Draw], measures: Iterable[Measure], mixed: Statement = MEASURED) -> Balance:
    """Return the account of a batch of ``mix_nl`` [nL] from its living draws and measures, in any order.

    A draw at the moment of a measure came before it. ``mixed`` is how the mix itself is known.
    """
    draws, measures = list(draws), list(measures)
    at = max((each.at for each in measures if each.ended_at is None), default=None)
    before = [each for each in draws if at is None or each.at <= at]
    standing = [each for each in measures if at is not None and _stood(each, at)]
    drawn = {what: sum(each.nl for each in draws if each.what == what) for what in DRAWN}
    if sum(drawn.values()) != sum(each.nl for each in draws):
        raise ValueError(f"no such draw: {quoted(next(each.what for each in draws if each.what not in DRAWN))}")
    found_nl, before_nl = sum(each.nl for each in standing), sum(each.nl for each in before)
    difference_nl = mix_nl - before_nl - found_nl
    stated = [(mix_nl, mixed), *((d.nl, d.said) for d in before), *((m.nl, m.said) for m in standing)]
    leftover_nl = mix_nl - sum(drawn.values()) - difference_nl
    return Balance(mix_nl, drawn, difference_nl, leftover_nl, tolerance_nl(mix_nl, stated), at)


def tolerance_nl(mix_nl: int, stated: Sequence[tuple[int, Statement]]) -> int:
    """Return how far a batch's account may be off [nL], given each amount in it and how that is known.

    A part of each amount, what each vessel keeps, and a nanolitre for each entry's rounding; never above
    ``MOST_OF_MIX`` of the mix and that rounding. A way of knowing that is not in the table is a KeyError.
    """
    kept = {(said.vessel, said.method) for _, said in stated if said.vessel is not None}
    parts = sum(nl * PART_OF_AMOUNT[said.how_known] for nl, said in stated)
    kept_nl = sum(KEPT_NL.get(method, 0) for _, method in kept)
    return int(min(parts + kept_nl, mix_nl * MOST_OF_MIX)) + len(stated)


def _stood(measure: Measure, at: datetime) -> bool:
    """Tell whether a measure was open at a moment: taken by then, and not ended."""
    return measure.at <= at and (measure.ended_at is None or measure.ended_at > at)
