"""A batch draws its products from lots: what they hold stays right through every correction."""

import pytest

from stewardship.treatments.models import Batch, Lot, LotDraw, StockMovement
from tests.ground import fl_oz
from tests.stewardship.treatments.records import tank_mix

pytestmark = pytest.mark.django_db(transaction=True)
GAL = 3_785_411_784
DRAWN = 378_541_178
"""12.8 fl oz, a tenth of a gallon."""
WHY = {"reason": "typed twice"}


def left(lot):
    return Lot.objects.get(id=lot).left_nl


def codes(batch):
    return [mark["code"] for mark in Batch.objects.get(id=batch).marks if mark["field"] == "lots"]


def mark(batch, code):
    (found,) = [mark for mark in Batch.objects.get(id=batch).marks if mark["code"] == code]
    return found


def flagged():
    return StockMovement.objects.filter(what="count", volume_nl=None)


def test_a_single_lot_gives_all_of_the_product_that_was_poured(ground):
    lot = ground.lot()

    batch = Batch.objects.get(id=ground.draws(lot))

    assert batch.parts[0]["lots"] == [{"lot": str(lot), "value": "12.8", "unit": "fl_oz", "nl": DRAWN}]
    assert (left(lot), codes(batch.id)) == (GAL - DRAWN, [])
    drawn = LotDraw.objects.get()
    assert (drawn.batch_id, drawn.lot_id, drawn.product_id, drawn.nl) == (batch.id, lot, ground.product, DRAWN)


def test_several_lots_give_what_each_is_said_to_have_given(ground):
    old, new = ground.lot(received=fl_oz("4")), ground.lot(purchased_on="2027-04-01")

    batch = ground.draws((old, "4"), (new, "8.8"))

    assert (left(old), left(new)) == (0, GAL - 260_247_060)
    assert codes(batch) == []


def test_each_product_of_a_tank_mix_is_drawn_from_its_own_lot(ground):
    parts = tank_mix(ground)["parts"]
    lots = [ground.lot(product=part["product"]) for part in parts]

    ground.batch(parts=[part | {"lots": [{"lot": str(lot)}]} for part, lot in zip(parts, lots, strict=True)])

    assert [left(lot) for lot in lots] == [GAL - DRAWN, GAL - 94_635_295]


def test_a_batch_that_names_no_lot_draws_on_none(ground):
    lot = ground.lot()

    batch = Batch.objects.get(id=ground.batch())

    assert (batch.parts[0]["lots"], left(lot), LotDraw.objects.count()) == ([], GAL, 0)


# -- what is marked --------------------------------------------------------------------------------


def test_drawing_a_newer_lot_while_an_older_one_holds_something_is_marked(ground):
    old, new = ground.lot(purchased_on="2026-03-01", received=fl_oz("12.8")), ground.lot()

    marked = ground.draws(new)
    ground.draws(old)
    unmarked = ground.draws(new)

    assert (codes(marked), codes(unmarked)) == (["newer_lot_drawn"], [])
    found = mark(marked, "newer_lot_drawn")
    assert "bought on 2027-03-01 was drawn on, and one bought on 2026-03-01 still holds something" in found["detail"]
    assert found["source"] == "Pesticide storage, pesticidestewardship.org: the oldest first"


def test_a_lot_of_unknown_age_is_neither_older_nor_newer(ground):
    ground.lot(purchased_on=None)
    known, unknown = ground.lot(), ground.lot(purchased_on=None)

    assert (codes(ground.draws(known)), codes(ground.draws(unknown))) == ([], [])


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ({"purchased_on": "2025-05-01"}, []),
        ({"purchased_on": "2025-04-30"}, ["lot_past_shelf_life"]),
        ({"purchased_on": "2020-01-01", "expires_on": "2027-05-01"}, []),
        ({"purchased_on": "2027-03-01", "expires_on": "2027-04-30"}, ["lot_past_shelf_life"]),
        ({"purchased_on": None}, []),
    ],
    ids=["two years", "two years and a day", "last day stated", "past the day stated", "unknown"],
)
def test_a_lot_past_its_last_day_or_past_two_years_is_marked(ground, values, expected):
    """About two years of shelf life: FAO V8966E and Purdue PPP-142."""
    batch = ground.draws(ground.lot(**values))

    assert codes(batch) == expected


@pytest.mark.parametrize(
    ("on_lot", "on_file", "expected"),
    [("2024-02", "2026-11", ["label_outdated"]), ("2026-11", "2026-11", []), ("", "2026-11", []), ("2024-02", "", [])],
)
def test_a_lot_with_another_version_of_the_label_than_on_file_is_marked(ground, coordinator, on_lot, on_file, expected):
    coordinator.does("product", "amend", id=ground.product, label_version=on_file)

    assert codes(ground.draws(ground.lot(label_version=on_lot))) == expected


def test_draws_that_do_not_make_what_was_poured_are_marked_by_how_much(ground):
    batch = ground.draws((ground.lot(), "10"), (ground.lot(), "2"))

    assert codes(batch) == ["draws_differ"]
    assert mark(batch, "draws_differ")["detail"].startswith("0.00625 US gallons less was drawn")


def test_a_batch_that_is_told_of_after_a_later_count_is_marked(ground):
    lot = ground.lot()
    ground.moves("count", lot, "100", happened_at="2027-05-02T08:00:00-05:00", reason="seen")

    assert codes(ground.draws(lot)) == ["counted_since"]
    assert codes(ground.draws(lot, mixed_at="2027-05-03T08:00:00-05:00")) == []


# -- beyond the book -------------------------------------------------------------------------------


def test_a_draw_beyond_the_book_is_recorded_and_wants_a_count(ground, coordinator):
    lot = ground.lot(received=fl_oz("10"))

    batch = ground.draws(lot)

    count = flagged().get()
    assert codes(batch) == ["lot_overdrawn"]
    assert (count.batch_id, count.lot_id, count.delta_nl) == (batch, lot, DRAWN - 295_735_296)
    assert [mark["code"] for mark in count.marks] == ["count_wanted"]
    assert (count.by_id, count.on_date.isoformat()) == (coordinator.member.id, "2027-05-01")
    assert left(lot) == 0


def test_voiding_and_reinstating_a_batch_takes_its_flagged_count_back_and_makes_it_anew(ground, coordinator):
    lot = ground.lot(received=fl_oz("10"))
    batch = ground.draws(lot)

    coordinator.does("batch", "void", id=batch, **WHY)
    voided = left(lot), LotDraw.objects.get().nl, flagged().filter(voided_at=None).count()
    coordinator.does("batch", "reinstate", id=batch, reason="it was real")

    assert voided == (295_735_296, 0, 0)
    assert (left(lot), LotDraw.objects.get().nl, flagged().filter(voided_at=None).count()) == (0, DRAWN, 1)
    assert codes(batch) == ["lot_overdrawn"]


def test_a_batch_that_is_amended_to_less_takes_its_flagged_count_back(ground, coordinator):
    lot = ground.lot(received=fl_oz("10"))
    batch = ground.draws(lot)
    part = {"product": str(ground.product), "volume": fl_oz("9"), "lots": [{"lot": str(lot)}]}

    coordinator.does("batch", "amend", id=batch, parts=[part], reason="misread")

    assert (left(lot), codes(batch)) == (295_735_296 - 266_161_766, [])
    assert not flagged().filter(voided_at=None).exists()


# -- corrections -----------------------------------------------------------------------------------


def test_a_batch_that_was_drawn_from_another_lot_gives_back_and_draws_anew(ground, coordinator):
    wrong, right = ground.lot(), ground.lot()
    batch = ground.draws(wrong)
    part = {"product": str(ground.product), "volume": fl_oz("12.8"), "lots": [{"lot": str(right)}]}

    coordinator.does("batch", "amend", id=batch, parts=[part], reason="the other jug")

    assert (left(wrong), left(right)) == (GAL, GAL - DRAWN)
    assert [row.lot_id for row in LotDraw.objects.all()] == [right]


def test_the_lot_is_corrected_though_the_batch_was_used_and_what_it_is_made_of_stays(ground, coordinator):
    wrong, right = ground.lot(), ground.lot()
    batch = ground.draws(wrong)
    ground.line(ground.session(), batch, "5")
    part = {"product": str(ground.product), "volume": fl_oz("12.8"), "lots": [{"lot": str(right)}]}

    coordinator.does("batch", "amend", id=batch, parts=[part], reason="the other jug")

    assert (left(wrong), left(right)) == (GAL, GAL - DRAWN)


def test_another_note_leaves_the_draw_as_it_was_taken(ground, coordinator):
    """A hundred and twenty-eight ounces exceed a gallon by 56 nL: the last draw took what was left."""
    lot = ground.lot()
    for _ in range(127):
        ground.moves("loss", lot, "1", incident="Leaked; soaked up.")
    batch = ground.draws(lot, ounces="1")
    before = Batch.objects.get(id=batch).parts

    coordinator.does("batch", "amend", id=batch, note="read again", reason="read again")
    part = {"product": str(ground.product), "volume": fl_oz("1"), "lots": [{"lot": str(lot)}]}
    coordinator.does("batch", "amend", id=batch, parts=[part], reason="read again")

    assert before[0]["lots"][0]["nl"] == 29_573_530 - 56
    assert Batch.objects.get(id=batch).parts == before
    assert (left(lot), flagged().count()) == (0, 0)


def test_a_batch_moved_to_another_date_judges_the_age_of_its_lot_by_that_date(ground, coordinator):
    batch = ground.draws(ground.lot(purchased_on="2025-05-03"))

    coordinator.does("batch", "amend", id=batch, mixed_at="2027-05-04T09:00:00-05:00", reason="wrong day")
    later = codes(batch)
    coordinator.does("batch", "amend", id=batch, mixed_at="2027-05-02T09:00:00-05:00", reason="wrong day again")

    assert (later, codes(batch)) == (["lot_past_shelf_life"], [])


def test_a_voided_batch_gives_back_once(ground, coordinator):
    lot = ground.lot()
    batch = ground.draws(lot)

    for _ in range(2):
        coordinator.does("batch", "void", id=batch, **WHY)

    assert (left(lot), Lot.objects.get(id=lot).entries) == (GAL, 0)


def test_product_that_came_with_another_batch_is_drawn_from_its_lot_once(ground):
    lot = ground.lot()
    first = ground.draws(lot)

    topped_up = ground.batch(mix=fl_oz("16"), parts=[], poured_from=[{"batch": str(first), "volume": fl_oz("16")}])

    (part,) = Batch.objects.get(id=topped_up).parts
    assert (part["volume"], part["lots"]) == (None, [])
    assert (left(lot), LotDraw.objects.count()) == (GAL - DRAWN, 1)
