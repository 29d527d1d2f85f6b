"""What of a mix is disposed of, lost, spilled or goes back undiluted is a term of its batch's account.

What was disposed of, how strong it was, how much, in what manner, by whom, when.
"""

import pytest

from stewardship.rules.shares import BatchOverdrawn
from stewardship.treatments.models import Batch, Leftover, Lot, StockMovement
from stewardship.treatments.queries.balances import balance_of
from stewardship.treatments.services.batches import BatchInUse
from tests.ground import fl_oz, nl

pytestmark = pytest.mark.django_db(transaction=True)

TWO = "2027-05-01T14:00:00-05:00"


def moves(ground, what, ounces, by=None, **values):
    told = {"lot": None, "happened_at": TWO, "manner": "county drop-off", "incident": "soaked up and bagged"}
    return ground.moves(what, ounces=ounces, by=by, **told | values)


def test_a_leftover_is_disposed_of_and_the_batch_balances(ground, volunteer):
    batch = ground.batch()
    ground.line(ground.session(), batch, "40")
    left = ground.leftover(batch, "23.5")

    moved = moves(ground, "disposal", "23.5", volunteer, leftover=str(left), receipt_no="R-77")

    assert (moved.batch_id, moved.taken_nl, moved.marks) == (batch, nl("23.5"), [])
    assert [product["nl"] for product in moved.products] == [nl("4.7")]
    leftover = Leftover.objects.get(id=left)
    assert (leftover.end, leftover.ended_at) == ("disposed", moved.happened_at)
    found = balance_of(Batch.objects.get(id=batch))
    assert abs(found["difference_nl"] - nl("0.5")) <= 3
    assert (found["disposed_nl"], found["balances"]) == (nl("23.5"), True)
    assert [each["what"] for each in found["statements"]] == ["applied", "measured", "disposed"]


@pytest.mark.parametrize(("what", "term", "end"), [("loss", "lost_nl", "lost"), ("spill", "spilled_nl", "lost")])
def test_what_is_lost_or_spilled_asks_what_happened(ground, what, term, end):
    batch = ground.batch()
    left = ground.leftover(batch, "64")

    moved = moves(ground, what, "64", leftover=str(left), incident="")

    assert [mark["code"] for mark in moved.marks] == ["incident_unanswered"]
    assert (Batch.objects.get(id=batch).left_nl, Leftover.objects.get(id=left).end) == (0, end)
    assert balance_of(Batch.objects.get(id=batch))[term] == nl("64")


def test_some_of_a_leftover_may_go_and_the_rest_stands(ground):
    left = ground.leftover(ground.batch(), "24")

    moves(ground, "disposal", "10", leftover=str(left))

    assert Leftover.objects.get(id=left).end == ""


def test_no_more_is_disposed_of_than_is_left(ground):
    batch = ground.batch()
    ground.line(ground.session(), batch, "40")

    with pytest.raises(BatchOverdrawn):
        moves(ground, "disposal", "24.1", batch=str(batch))


def test_voided_it_gives_back_and_reinstated_it_takes_again(ground, coordinator):
    batch = ground.batch()
    left = ground.leftover(batch, "64")
    moved = moves(ground, "disposal", "64", leftover=str(left))
    with pytest.raises(BatchInUse):
        coordinator.does("batch", "void", id=batch, reason="typed twice")

    coordinator.does("stock_movement", "void", id=moved.id, reason="another batch")

    now = Batch.objects.get(id=batch)
    assert (now.used_nl, now.used_parts, now.lines, Leftover.objects.get(id=left).end) == (0, [0], 0, "")
    coordinator.does("stock_movement", "reinstate", id=moved.id, reason="no, this one")
    assert Batch.objects.get(id=batch).left_nl == 0
    assert Leftover.objects.get(id=left).end == "disposed"


@pytest.mark.parametrize(("ounces", "left"), [("4", "36"), ("1.5", "33.5")])
def test_undiluted_product_goes_back_into_its_lot(ground, coordinator, ounces, left):
    lot = ground.lot(received=fl_oz("42"))
    part = {"product": str(ground.product), "volume": fl_oz("10"), "lots": [{"lot": str(lot), "volume": fl_oz("10")}]}
    batch = ground.batch(carrier="none", mix=fl_oz("10"), parts=[part])
    before = Lot.objects.get(id=lot)

    moved = moves(ground, "return", ounces, lot=lot, batch=str(batch))

    after = Lot.objects.get(id=lot)
    assert after.left_nl == before.left_nl + nl(ounces) == nl(left)
    assert moved.delta_nl == moved.taken_nl == nl(ounces)
    assert balance_of(Batch.objects.get(id=batch))["returned_nl"] == nl(ounces)
    coordinator.does("stock_movement", "void", id=moved.id, reason="another can")
    assert Lot.objects.get(id=lot).left_nl == before.left_nl
    assert Batch.objects.get(id=batch).used_nl == 0


def test_an_unknown_bottle_is_disposed_of_and_draws_on_nothing(ground, volunteer, coordinator):
    """Disposed with receipt: one container of unknown contents, 20 fl oz; a.i. unknown, counted one, never zero."""
    batch, found = ground.batch(), ground.leftover(None, "20", how_known="estimated")

    moved = moves(ground, "disposal", "20", volunteer, leftover=str(found), receipt_no="R-78")

    assert (moved.batch_id, moved.leftover_id, moved.taken_nl, moved.products) == (None, found, 0, [])
    assert Leftover.objects.get(id=found).end == "disposed"
    assert Batch.objects.get(id=batch).used_nl == 0
    unknown = StockMovement.objects.filter(voided_at=None, batch=None, leftover__isnull=False)
    assert [(each.volume_value, each.receipt_no) for each in unknown] == [("20", "R-78")]
    coordinator.does("stock_movement", "void", id=moved.id, reason="still there")
    assert Leftover.objects.get(id=found).end == ""


def test_a_leftover_stands_again_though_it_was_measured_anew_since(ground, coordinator):
    left = ground.leftover(ground.batch(), "20")
    moved = moves(ground, "disposal", "20", leftover=str(left))
    coordinator.does("leftover", "amend", id=left, volume=fl_oz("20.5"), reason="misread")

    coordinator.does("stock_movement", "void", id=moved.id, reason="still there")

    found = Leftover.objects.get(id=left)
    assert (found.ended_at, found.end) == (None, "")
