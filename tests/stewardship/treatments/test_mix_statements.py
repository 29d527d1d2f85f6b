"""A push costs the same statements whatever it brings of top-ups and leftovers, and however much."""

import pytest

from stewardship.journal.ids import new_id
from stewardship.treatments.models import Session
from tests.cast import sent
from tests.ground import fl_oz

pytestmark = pytest.mark.django_db(transaction=True)

MORNING, NOON = "2027-05-01T09:00:00-05:00", "2027-05-01T12:00:00-05:00"


class Trailer:
    """What a device has to tell of mixes: on three batches, each with a leftover to be compared with."""

    def __init__(self, ground):
        self.ground, self.me = ground, str(ground.coordinator.member.id)
        self.session = str(ground.session())
        parts = [{"product": str(ground.product), "volume": {"value": "20", "unit": "gal"}}]
        mix = {"mix": {"value": "640", "unit": "gal"}, "parts": parts}
        self.batches = [str(ground.batch(**mix)) for _ in range(3)]
        self.left = [str(ground.leftover(batch, "81900")) for batch in self.batches]

    def leftovers(self, count):
        told = {"volume": fl_oz("1"), "how_known": "measured", "measured_at": NOON}
        return [
            sent("leftover", "create", told | {"id": str(new_id()), "batch": self.batches[i % 3]}) for i in range(count)
        ]

    def lines(self, count):
        told = {"session": self.session, "species": str(self.ground.species), "method": "cut_stump"}
        told |= {"mix": fl_oz("1"), "how_known": "measured"}
        return [
            sent("application", "create", told | {"id": str(new_id()), "leftover": self.left[i % 3]})
            for i in range(count)
        ]

    def top_ups(self, count):
        told = {"mixed_at": NOON, "mixed_by": self.me, "mix": fl_oz("2"), "carrier": "oil", "how_known": "measured"}
        told |= {"parts": [{"product": str(self.ground.product), "volume": fl_oz("0.1")}]}
        return [
            sent("batch", "create", told | {"id": str(new_id()), "poured_from": [self.poured(i)]}) for i in range(count)
        ]

    def poured(self, i):
        source = {"leftover": self.left[i % 3]} if i % 2 == 0 else {"batch": self.batches[i % 3]}
        return source | {"volume": fl_oz("1")}

    def disposals(self, count):
        told = {"what": "disposal", "volume": fl_oz("1"), "happened_at": NOON, "by": self.me, "manner": "drop-off"}
        return [
            sent("stock_movement", "create", told | {"id": str(new_id()), "leftover": self.left[i % 3]})
            for i in range(count)
        ]


@pytest.mark.parametrize("kind", ["leftovers", "lines", "top_ups", "disposals"])
def test_1_10_and_300_of_a_kind_cost_the_same(ground, statements, kind):
    trailer = Trailer(ground)
    tell = getattr(trailer, kind)
    statements(trailer.lines(3))  # from now on the batches hold something to be compared with

    counts = {count: statements(tell(count)) for count in (1, 10, 300)}

    assert len(set(counts.values())) == 1, counts
    assert counts[300] <= 39


def test_closing_1_and_20_batches_costs_the_same(ground, statements):
    made = {count: [str(ground.batch()) for _ in range(count)] for count in (1, 20)}
    session = ground.session()
    for batch in [batch for batches in made.values() for batch in batches]:
        ground.line(session, batch, "40")
        ground.leftover(batch, "24")

    counts = {
        count: statements([sent("batch", "close", {"closed_at": NOON}, id=batch) for batch in batches])
        for count, batches in made.items()
    }

    assert len(set(counts.values())) == 1, counts


def test_correcting_where_1_and_20_batches_of_signed_records_were_mixed_costs_the_same(ground, coordinator, statements):
    made = {count: [ground.batch() for _ in range(count)] for count in (1, 20)}
    for batch in [batch for batches in made.values() for batch in batches]:
        session = ground.session(ended_at="2027-05-01T10:00:00-05:00")
        ground.line(session, batch, "5")
        coordinator.does("session", "attest", id=session)

    counts = {
        count: statements(
            [sent("batch", "amend", {"mixed_where": "trailhead"}, id=batch, reason="left out") for batch in batches]
        )
        for count, batches in made.items()
    }

    assert len(set(counts.values())) == 1, counts
    assert not Session.objects.filter(attested_at__isnull=False).exists()
