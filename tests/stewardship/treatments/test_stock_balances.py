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


def some(base_units: int, unit: str = "ml") -> dict[str, str]:
    """Return millilitres of so many nanolitres, or grams of so many micrograms."""
    return {"value": f"{base_units // 10**6}.{base_units % 10**6:06}", "unit": unit}


@dataclass
class Store:
    """Three small lots of one product, liquid or dry, and people who do anything with them."""

    ground: Ground
    product: UUID
    base: str = "nl"
    lots: list[UUID] = field(default_factory=list)
    made: list[tuple[str, UUID]] = field(default_factory=list)

    def open(self, received: list[int]) -> None:
        name = "received" if self.base == "nl" else "received_mass"
        bought = [{name: some(each, self.unit), "product": self.product} for each in received]
        self.lots = [self.ground.lot(**each) for each in bought]
        self.made = [("lot", lot) for lot in self.lots]

    @property
    def unit(self) -> str:
        return "ml" if self.base == "nl" else "g"

    def told(self, amount: int) -> dict[str, Any]:
        return {"volume" if self.base == "nl" else "mass": some(amount, self.unit)}

    def take(self, step: tuple[str, int, int, int]) -> None:
        op, one, other, amount = step
        lot, second = self.lots[one % len(self.lots)], self.lots[other % len(self.lots)]
        with suppress(*MAY_BE_REFUSED):  # any other refusal is a fault
            if op in StockMovement.What.values:
                told = self.told(amount - 1 if op == "count" else amount)
                more = {"to_lot": second} if op == "transfer" and other % 2 else {"reason": "seen"}
                self._keep("stock_movement", self.ground.moves(op, lot, **told, **more).id)
            elif op == "draw":
                self._keep("batch", self.ground.batch(mix=some(200), parts=self._parts(lot, second, amount)))
            else:
                kind, id = self.made[(one * 7 + other) % len(self.made)]
                self._correct(op, kind, id, self._parts(lot, second, amount), amount)
        self.check()

    def _keep(self, kind: str, id: UUID) -> None:
        self.made.append((kind, id))

    def _parts(self, lot: UUID, second: UUID, amount: int) -> list[dict[str, Any]]:
        lots = [{"lot": str(id), **self.told(amount)} for id in dict.fromkeys((lot, second))]
        return [{"product": str(self.product), **self.told(amount), "lots": lots}]

    def _correct(self, op: str, kind: str, id: UUID, parts: list[dict[str, Any]], amount: int) -> None:
        received = "received" if self.base == "nl" else "received_mass"
        amends = {"lot": {received: some(amount, self.unit)}, "batch": {"parts": parts}}
        if op != "amend":
            self.ground.coordinator.does(kind, op, id=id, reason="again")
        elif kind in amends:
            self.ground.coordinator.does(kind, "amend", id=id, reason="again", **amends[kind])

    def check(self) -> None:
        living = StockMovement.objects.filter(voided_at=None)
        for lot in Lot.objects.all():
            delta = f"delta_{self.base}"
            moved = _sum(living.filter(lot=lot), delta) - _sum(living.filter(to_lot=lot), delta)
            drawn = _sum(LotDraw.objects.filter(lot=lot), self.base)
            received = lot.received_nl if self.base == "nl" else lot.received_mass_ug
            left = lot.left_nl if self.base == "nl" else lot.left_ug
            assert received + moved - drawn == left >= 0
        for count in StockMovement.objects.filter(what="count", volume_nl=None, mass_ug=None):
            cause = count.cause or count.batch
            assert count.voided_at or cause.voided_at is None, "what made up for a voided draw stands no more"
            assert count.delta > 0
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


@pytest.fixture(params=["liquid", "dry"])
def store(request, ground):
    return Store(ground, ground.product) if request.param == "liquid" else Store(ground, ground.powder(), "ug")


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture], derandomize=True)
@given(received=st.lists(st.integers(1, 100), min_size=3, max_size=3), steps=st.lists(STEPS, max_size=14))
def test_stock_is_conserved_after_every_step_whatever_is_done(store, received, steps):
    store.open(received)
    store.check()
    for step in steps:
        store.take(step)
