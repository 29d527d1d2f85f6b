"""Lots of a dry product are kept by weight: bought, drawn, counted, disposed of, overdrawn and taken back."""

import pytest

from stewardship.errors import Unreadable
from stewardship.treatments.models import Batch, Lot, LotDraw, StockMovement
from stewardship.treatments.services.movements import CountNeedsReason
from tests.ground import fl_oz, lb

pytestmark = pytest.mark.django_db(transaction=True)
POUND = 453_592_370
"""Micrograms: NIST Handbook 44, Appendix C, avoirdupois pound of 453.59237 g."""
WHY = {"reason": "typed twice"}
SAID = {"incident": "A bag tore; swept up, bagged and noted."}


@pytest.fixture
def powder(ground):
    return ground.powder()


@pytest.fixture
def lot(ground, powder):
    """Give a bag of five pounds."""
    return ground.lot(product=powder, received_mass=lb("5"))


def kept(lot):
    """Return what is left of a dry lot [µg]; in the other measure nothing is told."""
    found = Lot.objects.get(id=lot)
    assert (found.left_nl, found.received_nl) == (None, None)
    return found.left_ug


def drawn(ground, powder, *lots, **values):
    """Mix a batch whose powder was drawn from these lots, each (id, pounds or None)."""
    named = [{"lot": str(id)} | ({"mass": lb(pounds)} if pounds else {}) for id, pounds in lots]
    part = {"product": str(powder), "lots": named, **values}
    return ground.batch(carrier="water", parts=[part])


def codes(record):
    """Return what is marked about it beside the mixer's credential."""
    return [mark["code"] for mark in record.marks if mark["field"] != "mixed_by"]


def flagged():
    return StockMovement.objects.filter(what="count", volume_nl=None, mass_ug=None)


# -- bought, drawn ---------------------------------------------------------------------------------


def test_a_dry_lot_keeps_what_was_bought_by_weight(lot):
    content = Lot.objects.get(id=lot).content()

    assert content["received_mass"] == {"value": "5", "unit": "lb", "ug": 5 * POUND}
    assert (content["received"], kept(lot)) == (None, 5 * POUND)


def test_more_received_than_first_read_is_more_left(ground, coordinator, lot):
    ground.moves("spill", lot, mass=lb("1"), **SAID)

    coordinator.does("lot", "amend", id=lot, received_mass=lb("50"), reason="read the wrong line")

    assert kept(lot) == 49 * POUND


def test_a_single_dry_lot_gives_all_that_was_weighed(ground, powder, lot):
    batch = Batch.objects.get(id=drawn(ground, powder, (lot, None), mass=lb("1.5")))

    assert batch.parts[0]["lots"] == [{"lot": str(lot), "value": "1.5", "unit": "lb", "ug": 3 * POUND // 2}]
    assert (kept(lot), codes(batch)) == (7 * POUND // 2, [])
    draw = LotDraw.objects.get()
    assert (draw.batch_id, draw.lot_id, draw.product_id, draw.nl, draw.ug) == (
        batch.id, lot, powder, None, 3 * POUND // 2,
    )  # fmt: skip


def test_of_pieces_each_lot_says_the_weight_that_it_gave(ground, powder, lot):
    """Three packets of half a pound, as the product says."""
    other = ground.lot(product=powder, received_mass={"value": "16", "unit": "oz"})

    batch = Batch.objects.get(id=drawn(ground, powder, (lot, "1"), (other, "0.5"), pieces=3))

    assert (batch.parts[0]["ug"], codes(batch)) == (3 * POUND // 2, [])
    assert (kept(lot), kept(other)) == (4 * POUND, POUND // 2)


def test_draws_that_do_not_make_what_was_weighed_are_marked_by_how_much(ground, powder, lot):
    batch = Batch.objects.get(id=drawn(ground, powder, (lot, "1"), mass=lb("1.5")))

    assert codes(batch) == ["draws_differ"]
    assert batch.marks[-1]["detail"].startswith("0.5 pounds less was drawn")


def test_a_tank_mix_draws_each_product_from_its_lot_in_its_own_measure(ground, powder, lot):
    jug = ground.lot()
    parts = [
        {"product": str(powder), "mass": lb("1"), "lots": [{"lot": str(lot)}]},
        {"product": str(ground.product), "volume": fl_oz("12.8"), "lots": [{"lot": str(jug)}]},
    ]

    ground.batch(carrier="water", parts=parts)

    assert (kept(lot), Lot.objects.get(id=jug).left_nl) == (4 * POUND, 3_785_411_784 - 378_541_178)


# -- moved, counted, disposed of -------------------------------------------------------------------


def test_a_dry_lot_moves_by_what_is_said_and_another_gets_what_it_gives(ground, powder, lot):
    shed = ground.lot(product=powder, received_mass=lb("1"))

    ground.moves("receipt", lot, mass=lb("2"))
    moved = ground.moves("transfer", lot, mass=lb("3"), to_lot=shed)
    ground.moves("loss", lot, mass=lb("1"), **SAID)

    assert (moved.delta_ug, moved.delta_nl, codes(moved)) == (-3 * POUND, None, [])
    assert (kept(lot), kept(shed)) == (3 * POUND, 4 * POUND)


def test_a_disposal_of_powder_says_its_weight_and_strength_and_is_put_back_as_it_was(ground, coordinator, lot):
    disposed = ground.moves("disposal", lot, mass=lb("2"), manner="County collection")

    (product,) = disposed.products
    assert (product["ug"], "nl" in product) == (2 * POUND, False)
    assert [each["ai_g_kg"] for each in product["ingredients"]] == ["800"]
    coordinator.does("stock_movement", "void", id=disposed.id, **WHY)
    assert kept(lot) == 5 * POUND
    coordinator.does("stock_movement", "reinstate", id=disposed.id, reason="it was real")
    assert (kept(lot), StockMovement.objects.get(id=disposed.id).products) == (3 * POUND, disposed.products)


def test_a_count_of_a_dry_lot_that_differs_says_why(ground, lot):
    with pytest.raises(CountNeedsReason, match=r"holds 5 pounds.*4\.5 pounds was counted: 0\.5 pounds less"):
        ground.moves("count", lot, mass=lb("4.5"))
    counted = ground.moves("count", lot, mass=lb("4.5"), reason="the bag was damp")

    assert (counted.delta_ug, counted.is_flagged, kept(lot)) == (-POUND // 2, False, 9 * POUND // 2)


def test_sixteen_ounces_empty_a_pound_but_for_their_rounding(ground, powder):
    """Sixteen ounces make a pound: NIST Handbook 44; each rounded to a microgram they are 2 µg short of it."""
    ounce = {"value": "1", "unit": "oz"}
    lot = ground.lot(product=powder, received_mass=lb("1"))
    for _ in range(16):
        ground.moves("loss", lot, mass=ounce, **SAID)
    assert kept(lot) == 2

    counted = ground.moves("count", lot, mass=lb("0"))

    assert (counted.delta_ug, kept(lot)) == (-2, 0)


# -- beyond the book -------------------------------------------------------------------------------


def test_a_draw_beyond_the_book_of_a_dry_lot_wants_a_count_and_is_taken_back_whole(ground, coordinator, powder, lot):
    id = drawn(ground, powder, (lot, None), mass=lb("6"))

    batch, count = Batch.objects.get(id=id), flagged().get()
    assert (codes(batch), codes(count)) == (["lot_overdrawn"], ["count_wanted"])
    assert (count.batch_id, count.delta_ug, count.delta_nl, kept(lot)) == (id, POUND, None, 0)
    assert count.marks[0]["detail"].startswith("1 pound more was taken out of this lot")

    coordinator.does("batch", "void", id=id, **WHY)
    assert (kept(lot), LotDraw.objects.get().ug, flagged().filter(voided_at=None).exists()) == (5 * POUND, 0, False)
    coordinator.does("batch", "reinstate", id=id, reason="it was real")
    assert (kept(lot), LotDraw.objects.get().ug, flagged().filter(voided_at=None).count()) == (0, 6 * POUND, 1)


def test_a_spill_beyond_the_book_of_a_dry_lot_is_corrected_without_a_remainder(ground, coordinator, lot):
    spilled = ground.moves("spill", lot, mass=lb("6"), **SAID)
    assert (codes(spilled), spilled.marks[0]["field"], kept(lot)) == (["lot_overdrawn"], "mass", 0)

    coordinator.does("stock_movement", "void", id=spilled.id, **WHY)

    assert (kept(lot), Lot.objects.get(id=lot).entries) == (5 * POUND, 0)


def test_a_batch_that_is_amended_to_another_weight_gives_back_and_draws_anew(ground, coordinator, powder, lot):
    id = drawn(ground, powder, (lot, None), mass=lb("1"))
    part = {"product": str(powder), "mass": lb("2"), "lots": [{"lot": str(lot)}]}

    coordinator.does("batch", "amend", id=id, parts=[part], reason="misread")

    assert kept(lot) == 3 * POUND


# -- what cannot be read, and the last wall --------------------------------------------------------


@pytest.mark.parametrize(
    "values",
    [
        {"received": None},
        {"received": {"value": "1", "unit": "gal"}, "received_mass": lb("5")},
        {"received_mass": lb("0")},
        {"received_mass": fl_oz("5")},
    ],
    ids=["no amount", "two amounts", "nothing", "a volume"],
)
def test_a_lot_without_one_amount_is_refused(ground, values):
    with pytest.raises(Unreadable):
        ground.lot(product=ground.powder(), **values)


def test_a_movement_without_one_amount_and_a_mix_by_weight_are_refused(ground, lot):
    for values in (
        {},
        {"volume": fl_oz("1"), "mass": lb("1")},
        {"mass": lb("1"), "lot": None, "batch": ground.batch()},
    ):
        with pytest.raises(Unreadable):
            ground.moves("disposal", **{"lot": lot} | values)


def test_a_draw_in_two_measures_is_refused(ground, powder, lot):
    part = {"product": str(powder), "mass": lb("1")}
    part["lots"] = [{"lot": str(lot), "mass": lb("1"), "volume": fl_oz("1")}]

    with pytest.raises(Unreadable):
        ground.batch(carrier="water", parts=[part])
