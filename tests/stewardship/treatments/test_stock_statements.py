"""A push costs the same statements whatever it brings of stock, and however much."""

import pytest

from stewardship.journal.ids import new_id
from stewardship.treatments.models import StockMovement
from tests.cast import sent
from tests.ground import fl_oz
from tests.stewardship.treatments.records import tank_mix

pytestmark = pytest.mark.django_db(transaction=True)
MORNING = "2027-05-01T09:00:00-05:00"


class Shed:
    """What a device has to tell of stock: on four lots of two products, so small that much of it is beyond the book."""

    def __init__(self, ground):
        self.ground, self.me = ground, str(ground.coordinator.member.id)
        self.parts = tank_mix(ground)["parts"]
        self.lots = [
            str(ground.lot(product=part["product"], received=fl_oz("10"))) for part in self.parts for _ in range(2)
        ]

    def lots_bought(self, count):
        told = {"product": str(self.ground.product), "received": fl_oz("64")}
        return [sent("lot", "create", told | {"id": str(new_id())}) for _ in range(count)]

    def spills(self, count):
        told = {"what": "spill", "volume": fl_oz("3"), "happened_at": MORNING, "by": self.me}
        return [
            sent("stock_movement", "create", told | {"id": str(new_id()), "lot": self.lots[i % 4]})
            for i in range(count)
        ]

    def transfers(self, count):
        told = {"what": "transfer", "volume": fl_oz("0.01"), "happened_at": MORNING, "by": self.me}
        told |= {"lot": self.lots[0], "to_lot": self.lots[1]}
        return [sent("stock_movement", "create", told | {"id": str(new_id())}) for _ in range(count)]

    def batches(self, count):
        told = {"mixed_at": MORNING, "mixed_by": self.me, "mix": fl_oz("64"), "carrier": "oil"}
        told |= {"how_known": "measured"}
        return [sent("batch", "create", told | {"id": str(new_id()), "parts": self.drawn(i)}) for i in range(count)]

    def drawn(self, i):
        return [part | {"lots": [{"lot": self.lots[2 * place + i % 2]}]} for place, part in enumerate(self.parts)]


@pytest.mark.parametrize("kind", ["lots_bought", "spills", "transfers", "batches"])
def test_1_10_and_500_of_a_kind_of_stock_cost_the_same(ground, statements, kind):
    tell = getattr(Shed(ground), kind)
    statements(tell(30))  # from now on the lots are empty: everything is beyond the book

    counts = {count: statements(tell(count)) for count in (1, 10, 500)}

    assert len(set(counts.values())) == 1, counts
    assert counts[500] <= 30


@pytest.mark.parametrize(("kind", "type"), [("spills", "stock_movement"), ("batches", "batch")])
def test_voiding_and_reinstating_1_10_and_100_beyond_the_book_cost_the_same(ground, statements, kind, type):
    tell = getattr(Shed(ground), kind)
    statements(tell(30))
    made = {}
    for count in (1, 10, 100):
        told = tell(count)
        statements(told)
        made[count] = [each.set["id"] for each in told]

    for op in ("void", "reinstate"):
        counts = {n: statements([sent(type, op, {}, id=id, reason="misread") for id in made[n]]) for n in made}
        assert len(set(counts.values())) == 1, (op, counts)
    assert StockMovement.objects.filter(what="count", voided_at=None).count() > 100


def test_amending_1_10_and_100_drawn_batches_costs_the_same(ground, statements):
    shed = Shed(ground)
    statements(shed.batches(30))
    made = {}
    for count in (1, 10, 100):
        told = shed.batches(count)
        statements(told)
        made[count] = [each.set["id"] for each in told]

    counts = {
        n: statements([sent("batch", "amend", {"parts": shed.drawn(i + 1)}, id=id, reason="other jug")
                       for i, id in enumerate(made[n])])
        for n in made
    }  # fmt: skip

    assert len(set(counts.values())) == 1, counts
