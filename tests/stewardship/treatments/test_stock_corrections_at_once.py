"""Several people correct one batch that drew more than its lot held: each takes back the count that stood before."""

import pytest

from stewardship.treatments.models import Batch, Lot, StockMovement
from tests.concurrency import in_threads
from tests.ground import fl_oz, nl
from tests.stewardship.treatments.test_conservation import check

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_flagged_count_that_another_correction_just_made_is_taken_back(ground, coordinator):
    lot = ground.lot(received=fl_oz("1"))
    batch = ground.draws(lot)

    def corrects(whole):
        for part in range(6):
            poured = {"product": str(ground.product), "volume": fl_oz(f"{whole}.{part}"), "lots": [{"lot": str(lot)}]}
            coordinator.does("batch", "amend", id=batch, parts=[poured], reason="read again")

    told = in_threads([lambda whole=whole: corrects(whole) for whole in (9, 10, 11, 12)])

    assert told == [None] * 4
    (part,) = Batch.objects.get(id=batch).parts
    (flagged,) = StockMovement.objects.filter(voided_at=None)
    assert abs(flagged.delta_nl - (part["nl"] - nl("1"))) <= 1
    found = Lot.objects.get(id=lot)
    assert (found.left_nl, found.entries) == (0, 2)
    check()
