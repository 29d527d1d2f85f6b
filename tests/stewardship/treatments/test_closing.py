"""A batch is closed when mixed = used + left + disposed + lost, and the rest is measuring."""

import pytest

from stewardship.errors import AlreadyVoided
from stewardship.rules.shares import BatchOverdrawn
from stewardship.treatments.models import Batch
from stewardship.treatments.services.batches import BatchClosed
from stewardship.treatments.services.closing import BatchDoesNotBalance
from stewardship.treatments.services.sessions import EndsBeforeItBegins
from tests.ground import FL_OZ, fl_oz, nl

pytestmark = pytest.mark.django_db(transaction=True)

TWO = "2027-05-01T14:00:00-05:00"


def close(someone, batch, **values):
    return someone.does("batch", "close", id=batch, closed_at=TWO, **values)


def codes(batch):
    return [mark["code"] for mark in batch.marks]


def test_forty_of_64_used_as_25_and_15_are_5_and_3_of_product_and_the_rest_is_left(ground, coordinator):
    """40 of 64 fl oz at 20 % split 25/15 -> 5.0 and 3.0 fl oz, sum 8.0; difference 0."""
    batch, session = ground.batch(), ground.session()
    lines = [ground.line(session, batch, ounces) for ounces in ("25", "15")]
    ground.leftover(batch, "24")

    close(coordinator, batch)

    now = Batch.objects.get(id=batch)
    product = [line.products[0]["nl"] for line in lines]
    assert [round(nl / FL_OZ, 6) for nl in (*product, sum(product))] == [5.0, 3.0, 8.0]
    assert abs(now.difference_nl) <= 4
    assert abs(now.left_nl - nl("24")) <= 4
    assert "difference_beyond_tolerance" not in codes(now)
    assert now.parts[0]["nl"] == now.used_parts[0] + now.difference_parts[0] + now.parts_left[0]["left_nl"]


@pytest.mark.parametrize(
    ("used", "left", "difference"),
    [("38", "24", 2), ("40", "26", -2), ("40", "20", 4), ("63", "5", -4)],
)
def test_beyond_the_tolerance_a_reason_is_asked_and_the_close_is_marked(ground, coordinator, used, left, difference):
    batch = ground.batch()
    ground.line(ground.session(), batch, used, how_known="measured")
    ground.leftover(batch, left)
    with pytest.raises(BatchDoesNotBalance) as refused:
        close(coordinator, batch)
    assert f"{abs(difference)} US fluid ounces" in str(refused.value)

    close(coordinator, batch, reason="the measuring cup is a kitchen one")

    now = Batch.objects.get(id=batch)
    assert abs(now.difference_nl - nl(str(difference))) <= 4
    assert abs(now.left_nl - nl(left)) <= 4
    assert codes(now)[-1] == "difference_beyond_tolerance"
    assert now.parts[0]["nl"] == now.used_parts[0] + now.difference_parts[0] + now.parts_left[0]["left_nl"]


def test_what_was_measured_as_left_is_used_after_the_close_to_the_last(ground, coordinator):
    batch = ground.batch()
    ground.line(ground.session(), batch, "40", how_known="measured")
    left = ground.leftover(batch, "26")
    close(coordinator, batch, reason="the can has its own mind")
    later = ground.session(started_at="2027-05-02T09:30:00-05:00")

    ground.line(later, None, "26", leftover=str(left))

    now = Batch.objects.get(id=batch)
    assert (now.left_nl, now.parts_left[0]["left_nl"]) == (0, 0)
    with pytest.raises(BatchOverdrawn):
        ground.line(later, batch, "1")


def test_without_a_measure_all_that_the_book_has_left_is_the_difference(ground, coordinator):
    batch = ground.batch()
    ground.line(ground.session(), batch, "63.9")

    close(coordinator, batch)

    now = Batch.objects.get(id=batch)
    assert (now.left_nl, now.parts_left[0]["left_nl"]) == (0, 0)
    assert now.difference_nl == now.mix_nl - now.used_nl


def test_nobody_measured_and_much_is_left_by_the_book(ground, coordinator):
    batch = ground.batch()
    ground.line(ground.session(), batch, "40")

    with pytest.raises(BatchDoesNotBalance, match="nobody has measured what is left: by the book 24 US fluid ounces"):
        close(coordinator, batch)


def test_more_drawn_since_than_was_left_leaves_nothing(ground, coordinator):
    batch = ground.batch()
    ground.line(ground.session(), batch, "40")
    ground.leftover(batch, "10")
    ground.line(ground.session(started_at="2027-05-01T13:00:00-05:00"), batch, "16")
    with pytest.raises(BatchDoesNotBalance):
        close(coordinator, batch)

    close(coordinator, batch, reason="a bottle was found")

    assert abs(Batch.objects.get(id=batch).left_nl) <= nl("8")


def test_a_closed_batch_stays_as_it_was_made_until_it_is_reopened(ground, coordinator):
    batch = ground.batch()
    ground.leftover(batch, "60")
    close(coordinator, batch, reason="the can leaks")
    for op, values in (("void", {}), ("amend", {"mix": fl_oz("60")})):
        with pytest.raises(BatchClosed):
            coordinator.does("batch", op, id=batch, reason="misread", **values)
    coordinator.does("batch", "amend", id=batch, note="the can leaks", reason="left out")

    coordinator.does("batch", "reopen", id=batch, reason="a line came late")

    now = Batch.objects.get(id=batch)
    assert (now.closed_at, now.difference_nl, now.difference_parts) == (None, 0, [])
    assert "difference_beyond_tolerance" not in codes(now)
    coordinator.does("batch", "void", id=batch, reason="misread")
    with pytest.raises(AlreadyVoided):
        close(coordinator, batch)


def test_it_is_not_closed_before_it_was_mixed(ground, coordinator):
    with pytest.raises(EndsBeforeItBegins) as refused:
        coordinator.does("batch", "close", id=ground.batch(), closed_at="2027-05-01T08:59:00-05:00")

    assert refused.value.where == "closed_at"
