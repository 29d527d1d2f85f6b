"""An oracle of a group's books in plain whole numbers: what lots and batches hold, told apart from the service.

It knows of a batch only its mix, what was drawn when, and what was measured when; of a lot what came and what went. It
shares no code with the service, and takes its own view of what is left and what the measuring difference is.
"""

from dataclasses import dataclass, field
from itertools import count
from typing import Any

_numbers = count()


@dataclass
class Draw:
    """Mix that left a batch [nL] at a minute; ``by`` is what took it: a line, a movement, another batch."""

    by: Any
    nl: int
    at: int
    counts: bool = True


@dataclass
class Measure:
    """What was found [nL] at a minute, until another one."""

    id: Any
    nl: int
    at: int
    ended: int | None = None


@dataclass
class Lot:
    """Product that was bought [nL]."""

    id: Any
    left: int


@dataclass
class Batch:
    """A mix [nL]: its fresh product, what it drew from its lot, what it got from other batches."""

    id: Any
    mix: int
    fresh: int
    lot: Lot | None = None
    short: int = 0
    parents: list[tuple["Batch", Draw]] = field(default_factory=list)
    draws: list[Draw] = field(default_factory=list)
    measures: list[Measure] = field(default_factory=list)
    closed: bool = False
    booked: int = 0
    voided: bool = False

    @property
    def living(self) -> list[Draw]:
        """Return what counts as drawn."""
        return [draw for draw in self.draws if draw.counts]

    @property
    def used(self) -> int:
        """Return what was drawn [nL]."""
        return sum(draw.nl for draw in self.living)

    @property
    def left(self) -> int:
        """Return what the book has left [nL]."""
        return self.mix - self.used - self.booked

    @property
    def difference(self) -> int:
        """Return what is missing [nL] (below nothing: over) by the latest measure that stands."""
        standing = [measure.at for measure in self.measures if measure.ended is None]
        if not standing:
            return self.mix - self.used
        last = max(standing)
        before = sum(draw.nl for draw in self.living if draw.at <= last)
        found = sum(m.nl for m in self.measures if m.at <= last and (m.ended is None or m.ended > last))
        return self.mix - before - found

    def takes(self, wanted: int) -> int | None:
        """Return what a draw of so much takes [nL]; None where that is more than is left, rounding apart."""
        if self.left <= 0 or wanted - self.left > len(self.living) + 1:
            return None
        return min(wanted, self.left)


class Books:
    """Everything that a story has made so far."""

    def __init__(self) -> None:
        """Begin with nothing."""
        self.lots: list[Lot] = []
        self.batches: list[Batch] = []
        self.minute = 0

    def now(self) -> int:
        """Return the next minute."""
        self.minute += 1
        return self.minute

    def drawing(self, kind: str) -> list[tuple[Batch, Draw]]:
        """Return every line, or every movement, with its batch."""
        return [(batch, draw) for batch in self.batches for draw in batch.draws if draw.by[0] == kind]

    def mixed(self, batch: Batch, lot: Lot | None) -> None:
        """Draw a batch's fresh product from a lot: what the lot lacks is made up for by a count to come."""
        self.batches.append(batch)
        if lot:
            batch.lot, batch.short = lot, max(0, batch.fresh - lot.left)
            lot.left = max(0, lot.left - batch.fresh)

    def unmixed(self, batch: Batch) -> None:
        """Take a batch out of the books: its product goes back, and what was poured into it."""
        batch.voided = True
        if batch.lot:
            batch.lot.left += batch.fresh - batch.short
        for _, draw in batch.parents:
            draw.counts = False
