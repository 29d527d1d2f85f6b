"""Whatever is received, moved, drawn, corrected or voided: received + movements - draws = left, and never below 0."""

from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

import pytest
from django.db.models import Sum
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stewardship.errors import AlreadyVoided
from stewardship.treatments.models import Lot, LotDraw, StockMovement
from stewardship.treatments.services.facts import NotVoided
from stewardship.treatments.services.lots import LotInUse
from stewardship.treatments.services.movements import LotToItself
from stewardship.treatments.services.stock import LotVoided, LotWouldBeOverdrawn
from tests.ground import Ground

pytestmark = pytest.mark.django_db(transaction=True)
MAY_BE_REFUSED = (AlreadyVoided, NotVoided, LotInUse, LotToItself, LotVoided, LotWouldBeOverdrawn)


def ml(nanolitres: int) -> dict[str, str]:
    return {"value": f"{nanolitres // 10**6}.{nanolitres % 10**6:06}", "unit": "ml"}


@dataclass
class Store:
    """Three small lots of one product, and people who do anything with them."""

    ground: Ground
    lots: list[UUID] = field(default_factory=list)
    made: list[tuple[str, UUID]] = field(default_factory=list)

    def open(self, received: list[int]) -> None:
        self.lots = [self.ground.lot(received=ml(nl)) for nl in received]
        self.made = [("lot", lot) for lot in self.lots]

    def take(self, step: tuple[str, int, int, int]) -> None:
        op, one, other, nl = step
        lot, second = self.lots[one % len(self.lots)], self.lots[other % len(self.lots)]
        with suppress(*MAY_BE_REFUSED):  # any other refusal is a fault
            if op in StockMovement.What.values:
                volume = ml(nl - 1 if op == "count" else nl)
                more = {"to_lot": second} if op == "transfer" and other % 2 else {"reason": "seen"}
                self._keep("stock_movement", self.ground.moves(op, lot, "1", volume=volume, **more).id)
            elif op == "draw":
                self._keep("batch", self.ground.batch(mix=ml(200), parts=self._parts(lot, second, nl)))
            else:
                kind, id = self.made[(one * 7 + other) % len(self.made)]
                self._correct(op, kind, id, self._parts(lot, second, nl), nl)
        self.check()

    def _keep(self, kind: str, id: UUID) -> None:
        self.made.append((kind, id))

    def _parts(self, lot: UUID, second: UUID, nl: int) -> list[dict[str, Any]]:
        lots = [{"lot": str(id), "volume": ml(nl)} for id in dict.fromkeys((lot, second))]
        return [{"product": str(self.ground.product), "volume": ml(nl), "lots": lots}]

    def _correct(self, op: str, kind: str, id: UUID, parts: list[dict[str, Any]], nl: int) -> None:
        amends = {"lot": {"received": ml(nl)}, "batch": {"parts": parts}}
        if op != "amend":
            self.ground.coordinator.does(kind, op, id=id, reason="again")
        elif kind in amends:
            self.ground.coordinator.does(kind, "amend", id=id, reason="again", **amends[kind])

    def check(self) -> None:
        living = StockMovement.objects.filter(voided_at=None)
        for lot in Lot.objects.all():
            moved = _sum(living.filter(lot=lot), "delta_nl") - _sum(living.filter(to_lot=lot), "delta_nl")
            drawn = _sum(LotDraw.objects.filter(lot=lot), "nl")
            assert lot.received_nl + moved - drawn == lot.left_nl >= 0
        for count in StockMovement.objects.filter(what="count", volume_nl=None):
            cause = count.cause or count.batch
            assert count.voided_at or cause.voided_at is None, "what made up for a voided draw stands no more"
            assert count.delta_nl > 0
        unflagged = living.exclude(what="count")
        assert not [m for m in unflagged if _marked(m) != living.filter(cause=m).exists()]


def _marked(movement: StockMovement) -> bool:
    return "lot_overdrawn" in [mark["code"] for mark in movement.marks]


def _sum(rows: Any, column: str) -> int:
    return rows.aggregate(sum=Sum(column))["sum"] or 0


STEPS = st.tuples(
    st.sampled_from(
        [*StockMovement.What.values, "draw", "draw", "draw", "amend", "amend", "void", "void", "reinstate"]
    ),
    st.integers(0, 20),
    st.integers(0, 20),
    st.integers(1, 60),
)


@pytest.fixture
def store(ground):
    return Store(ground)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture], derandomize=True)
@given(received=st.lists(st.integers(1, 100), min_size=3, max_size=3), steps=st.lists(STEPS, max_size=14))
def test_stock_is_conserved_after_every_step_whatever_is_done(store, received, steps):
    store.open(received)
    store.check()
    for step in steps:
        store.take(step)
