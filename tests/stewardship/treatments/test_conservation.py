"""Whatever a group enters and takes back, in any order: nothing is made of nothing and nothing is lost."""

from contextlib import suppress
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stewardship.rules.refusals import RuleViolation
from stewardship.treatments.models import Application, Batch, Leftover, Lot, StockMovement
from tests.audit import findings
from tests.ground import Ground
from tests.stewardship.treatments.test_balances import ml

pytestmark = pytest.mark.django_db(transaction=True)

TO_BE_EXPECTED = {
    "batch_overdrawn", "batch_in_use", "batch_closed", "batch_not_closed", "batch_does_not_balance", "voided",
    "not_voided", "parts_above_mix", "lot_would_be_overdrawn", "count_not_made", "lot_voided",
}  # fmt: skip
"""Refusals that people meet who enter things in any order; any other is a fault."""

WHY = {"reason": "again"}


class Book:
    """A group that buys, mixes, tops up, uses, measures, disposes, closes, corrects and takes back."""

    def __init__(self, ground: Ground) -> None:
        self.ground, self.does = ground, ground.coordinator.does
        self.session = ground.session()
        self.lots = [ground.lot(received=ml(3000))]
        self.batches = [self._mixes(1000, 200)]
        self.made: list[tuple[str, Any]] = []

    def step(self, op: str, which: int, nl: int) -> None:
        """Do one thing, to the record that ``which`` comes upon; a refusal to be expected changes nothing."""
        try:
            getattr(self, op)(which, nl)
        except RuleViolation as rule:
            if rule.code not in TO_BE_EXPECTED:
                raise

    def receive(self, which: int, nl: int) -> None:
        self._moves("receipt", nl, lot=self.lots[0])

    def spill(self, which: int, nl: int) -> None:
        self._moves("spill", nl, lot=self.lots[0])

    def mix(self, which: int, nl: int) -> None:
        self.batches.append(self._mixes(5 * nl, nl))

    def top_up(self, which: int, nl: int) -> None:
        poured = {"batch": str(self._batch(which)), "volume": ml(nl)}
        self.batches.append(self._mixes(nl + 50, which % 40, poured_from=[poured]))

    def use(self, which: int, nl: int) -> None:
        line = self.ground.line(self.session, self._batch(which), "1", mix=ml(nl))
        self.made.append(("application", line.id))

    def dispose(self, which: int, nl: int) -> None:
        self._moves("disposal", nl, batch=self._batch(which))

    def measure(self, which: int, nl: int) -> None:
        id = self.ground.leftover(self._batch(which), "1", volume=ml(nl))
        self.made.append(("leftover", id))

    def pour_leftover(self, which: int, nl: int) -> None:
        left = [id for kind, id in self.made if kind == "leftover"]
        if left:
            poured = {"leftover": str(left[which % len(left)])}
            self.batches.append(self._mixes(5000, which % 40, poured_from=[poured]))

    def close(self, which: int, nl: int) -> None:
        self.does("batch", "close", id=self._batch(which), closed_at="2027-05-01T14:00:00-05:00", **WHY)

    def reopen(self, which: int, nl: int) -> None:
        self.does("batch", "reopen", id=self._batch(which), **WHY)

    def amend(self, which: int, nl: int) -> None:
        lines = [id for kind, id in self.made if kind == "application"]
        if lines:
            self.does("application", "amend", id=lines[which % len(lines)], mix=ml(nl), **WHY)

    def void(self, which: int, nl: int) -> None:
        self._take_back(which, "void")

    def reinstate(self, which: int, nl: int) -> None:
        self._take_back(which, "reinstate")

    # -- parts ---------------------------------------------------------------------------------------

    def _take_back(self, which: int, op: str) -> None:
        everything = [*self.made, *(("batch", id) for id in self.batches)]
        kind, id = everything[which % len(everything)]
        self.does(kind, op, id=id, **WHY)

    def _batch(self, which: int) -> Any:
        return self.batches[which % len(self.batches)]

    def _mixes(self, mix: int, product: int, **values: Any) -> Any:
        part = {"product": str(self.ground.product), "volume": ml(product), "lots": [{"lot": str(self.lots[0])}]}
        return self.ground.batch(mix=ml(mix), parts=[part] if product else [], **values)

    def _moves(self, what: str, nl: int, **values: Any) -> None:
        told = {"lot": None, "volume": ml(nl), "incident": "tipped over", "manner": "drop-off"}
        moved = self.ground.moves(what, ounces="1", **told | values)
        self.made.append(("stock_movement", moved.id))


def check() -> None:
    """Add up what was poured in, and where it is now: every batch for itself, and all of them together."""
    batches = {batch.id: batch for batch in Batch.objects.filter(voided_at=None)}
    for batch in batches.values():
        assert batch.mix_nl == batch.used_nl + batch.difference_nl + batch.left_nl
        assert batch.left_nl >= 0
        assert all(left["left_nl"] >= 0 for left in batch.parts_left)
        assert batch.left_nl > 0 or not any(left["left_nl"] for left in batch.parts_left)
    drawn = [line.products for line in Application.objects.filter(voided_at=None)]
    drawn += [each.products for each in StockMovement.objects.filter(voided_at=None, taken_nl__gt=0)]
    fresh = sum(part["volume"]["nl"] for b in batches.values() for part in b.parts if part["volume"])
    left = sum(left["left_nl"] for batch in batches.values() for left in batch.parts_left)
    differences = sum(sum(batch.difference_parts) for batch in batches.values())
    assert fresh == left + differences + sum(product["nl"] for products in drawn for product in products)
    assert all(lot.left_nl >= 0 for lot in Lot.objects.all())
    assert findings() == []


OPS = [
    "receive", "spill", "mix", "top_up", "use", "use", "dispose", "measure", "pour_leftover", "close", "reopen",
    "amend", "void", "void", "reinstate",
]  # fmt: skip


@settings(max_examples=16, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture], derandomize=True)
@given(
    steps=st.lists(st.tuples(st.sampled_from(OPS), st.integers(0, 60), st.integers(1, 700)), min_size=8, max_size=16)
)
def test_every_balance_holds_after_every_step(ground, steps):
    book = Book(ground)
    for step in steps:
        book.step(*step)
        check()
    for batch in list(book.batches):
        with suppress(RuleViolation):
            book.does("batch", "close", id=batch, closed_at="2027-05-02T14:00:00-05:00", **WHY)
    check()
    assert Leftover.objects.filter(voided_at=None, ended_at__isnull=False).exclude(end="poured_on").count() == 0
