"""Lots, and what goes in and out of them without being mixed."""

from fractions import Fraction

import pytest
from django.db import IntegrityError, transaction

from stewardship.catalog.models import Product
from stewardship.errors import NotPermitted, Unreadable
from stewardship.treatments.models import Lot, StockMovement
from stewardship.treatments.services.movements import CountNeedsReason
from tests.ground import FL_OZ, fl_oz
from tests.planning import ON, Plan

pytestmark = pytest.mark.django_db(transaction=True)
GAL = 3_785_411_784
WHY = {"reason": "typed twice"}
SAID = {"incident": "A can fell over; soaked up, bagged and noted."}


def left(lot):
    return Lot.objects.get(id=lot).left_nl


def codes(record):
    return [mark["code"] for mark in record.marks]


def flagged():
    return StockMovement.objects.filter(what="count", volume_nl=None)


# -- lots ------------------------------------------------------------------------------------------


def test_a_lot_keeps_what_was_bought_and_holds_all_of_it(ground):
    told = {"cost_cents": 12_550, "currency": "USD", "lot_number": "K7-118", "label_version": "2026-11"}
    told |= {"container": "2 × 64 fl oz jug", "store": "Shed, upper shelf", "expires_on": "2029-03-01"}

    lot = Lot.objects.get(id=ground.lot(**told))

    content = lot.content()
    assert {name: content[name] for name in told} == told
    assert (content["received"], content["purchased_on"]) == (
        {"value": "1", "unit": "gal", "nl": GAL}, "2027-03-01",
    )  # fmt: skip
    assert (lot.left_nl, lot.entries) == (GAL, 0)


def test_what_is_not_known_of_a_lot_stays_unknown(ground):
    lot = Lot.objects.get(id=ground.lot(purchased_on=None))

    assert (lot.purchased_on, lot.expires_on, lot.cost_cents, lot.currency) == (None, None, None, None)


def test_more_received_than_first_read_is_more_left(ground, coordinator):
    lot = ground.lot()
    ground.moves("spill", lot, "28", **SAID)

    coordinator.does("lot", "amend", id=lot, received={"value": "2.5", "unit": "gal"}, reason="read the wrong line")

    assert left(lot) == 9_463_529_460 - 828_058_828


def test_a_lot_entered_twice_is_voided_and_put_back(ground, coordinator):
    lot = ground.lot()

    coordinator.does("lot", "void", id=lot, **WHY)
    voided = Lot.objects.get(id=lot).voided_at
    coordinator.does("lot", "reinstate", id=lot, reason="it was another jug")

    assert voided is not None
    assert (Lot.objects.get(id=lot).voided_at, left(lot)) == (None, GAL)


@pytest.mark.parametrize(
    "values",
    [
        {"currency": "dollars", "cost_cents": 1},
        {"cost_cents": -1, "currency": "USD"},
        {"received": fl_oz("0")},
    ],
    ids=["currency", "cost", "nothing"],
)
def test_a_lot_that_cannot_be_read_is_refused(ground, values):
    with pytest.raises(Unreadable):
        ground.lot(**values)


# -- movements -------------------------------------------------------------------------------------


def test_receipts_returns_losses_and_disposals_move_the_lot_by_what_they_say(ground):
    lot = ground.lot()

    ground.moves("receipt", lot, "128")
    ground.moves("return", lot, "4")
    ground.moves("loss", lot, "3", incident="Left open, half of it dried.")
    ground.moves("disposal", lot, "10", manner="County collection")

    deltas = StockMovement.objects.order_by("entered_at", "id").values_list("what", "delta_nl")
    assert dict(deltas) == {
        "receipt": GAL, "return": 118_294_118, "loss": -88_720_589, "disposal": -295_735_296,
    }  # fmt: skip
    assert left(lot) == 2 * GAL + 118_294_118 - 88_720_589 - 295_735_296
    assert Lot.objects.get(id=lot).entries == 4


def test_a_transfer_takes_from_one_lot_what_it_gives_to_another(ground):
    lot, shed = ground.lot(), ground.lot(store="North shed")

    moved = ground.moves("transfer", lot, "32", to_lot=shed)

    assert (moved.delta_nl, moved.products, codes(moved)) == (-946_352_946, [], [])
    assert (left(lot), left(shed)) == (GAL - 946_352_946, GAL + 946_352_946)


def test_a_transfer_out_of_the_group_says_to_whom(ground):
    lot = ground.lot()

    named = ground.moves("transfer", lot, "32", manner="To the crew across the river")
    unnamed = ground.moves("transfer", lot, "32")

    assert (codes(named), codes(unnamed)) == ([], ["manner_unstated"])
    assert left(lot) == GAL - 2 * 946_352_946


@pytest.mark.parametrize("what", ["spill", "loss"])
def test_a_spill_or_loss_asks_the_incident_question(ground, what):
    lot = ground.lot()

    silent, told = ground.moves(what, lot, "3"), ground.moves(what, lot, "3", **SAID)

    assert (codes(silent), codes(told)) == (["incident_unanswered"], [])
    assert silent.marks[0]["source"] == "Georgia Rule 40-21-5"


def test_a_disposal_record_says_what_at_which_strength_how_much_how_by_whom_and_when(ground, cast):
    """The fields of Georgia Rule 40-21-5."""
    lot = ground.lot()

    told = {"manner": "Taken to the county's collection day", "receipt_no": "CC-2207"}
    content = ground.moves("disposal", lot, "12", cast.volunteer, **told).content()

    (product,) = content["products"]
    assert (product["product"], product["registration_no"]) == (str(ground.product), "99990-101")
    assert (product["nl"], content["volume"]) == (354_882_355, {"value": "12", "unit": "fl_oz", "nl": 354_882_355})
    (strength,) = product["ingredients"]
    pounds_a_gallon = Fraction(4 * 453_592_370_000, GAL)
    assert (strength["name"], Fraction(strength["ae_g_l"])) == ("triclopyr", pounds_a_gallon)
    assert {name: content[name] for name in told} == told
    assert (content["by"], content["happened_at"]) == (
        str(cast.volunteer.member.id), "2027-05-01T14:00:00.000000Z",
    )  # fmt: skip
    assert content["on_date"] == "2027-05-01"


def test_a_disposal_that_does_not_say_how_is_marked(ground):
    assert codes(ground.moves("disposal", ground.lot(), "12")) == ["manner_unstated"]


def test_a_disposal_keeps_the_strength_of_its_day_though_the_product_is_corrected_later(ground, coordinator):
    disposed = ground.moves("disposal", ground.lot(), "12", manner="County collection")
    (stated,) = Product.objects.get(id=ground.product).ingredients
    stronger = {"active_ingredient": stated["active_ingredient"], "ae": {"value": "8", "unit": "lb_gal"}}
    coordinator.does("product", "amend", id=ground.product, ingredients=[stronger])
    coordinator.does("stock_movement", "void", id=disposed.id, **WHY)

    coordinator.does("stock_movement", "reinstate", id=disposed.id, reason="it was real")

    assert StockMovement.objects.get(id=disposed.id).products == disposed.products


def test_a_movement_on_a_work_day_is_told_by_its_clock_and_marked_on_another_date(ground, coordinator):
    day = Plan(coordinator).id
    lot = ground.lot()

    same = ground.moves("spill", lot, "1", work_day=day, happened_at=f"{ON}T10:00:00-05:00", **SAID)
    other = ground.moves("spill", lot, "1", work_day=day, happened_at="2027-05-30T10:00:00-05:00", **SAID)

    assert codes(same) == ["day_not_confirmed"]
    assert codes(other) == ["day_not_confirmed", "other_date"]


# -- counts ----------------------------------------------------------------------------------------


def test_a_count_of_three_ounces_less_makes_an_adjustment_that_says_why(ground):
    """A count of 3 fl oz less than the book makes an adjustment, which needs a reason."""
    lot = ground.lot()
    ground.moves("spill", lot, "28", **SAID)

    with pytest.raises(CountNeedsReason, match=r"holds 100 US fluid ounces.*3 US fluid ounces less"):
        ground.moves("count", lot, "97")
    counted = ground.moves("count", lot, "97", reason="the measuring jug drips")

    assert counted.delta_nl == 97 * 29_573_529 + 55 - (GAL - 828_058_828)  # 97 x 29,573,529.5625
    assert (left(lot), counted.reason) == (97 * 29_573_529 + 55, "the measuring jug drips")


def test_a_count_that_differs_by_rounding_alone_needs_no_reason(ground):
    """128 fluid ounces, each rounded to a nanolitre, exceed a gallon by 56 nL."""
    lot = ground.lot()
    for _ in range(64):
        ground.moves("loss", lot, "1", **SAID)

    counted = ground.moves("count", lot, "64")

    assert (counted.delta_nl, counted.reason) == (28, "")
    assert left(lot) == GAL // 2


def test_a_lot_is_counted_empty(ground):
    lot = ground.lot()

    ground.moves("count", lot, "0", reason="the jug was rinsed and recycled")

    assert left(lot) == 0


@pytest.mark.parametrize("what", ["receipt", "loss", "disposal"])
def test_what_happened_before_a_count_and_is_told_after_it_is_marked(ground, what):
    lot = ground.lot()
    more = SAID | {"manner": "County collection"}
    before = ground.moves(what, lot, "1", happened_at="2027-05-01T07:00:00-05:00", **more)
    ground.moves("count", lot, "100", happened_at="2027-05-01T08:00:00-05:00", reason="seen")

    late = ground.moves(what, lot, "1", happened_at="2027-05-01T07:30:00-05:00", **more)
    after = ground.moves(what, lot, "1", happened_at="2027-05-01T08:30:00-05:00", **more)

    assert (codes(before), codes(late), codes(after)) == ([], ["counted_since"], [])
    assert "was counted on 2027-05-01, after this" in late.marks[0]["detail"]


def test_a_count_that_was_voided_holds_nothing_against_what_is_told_late(ground, coordinator):
    lot = ground.lot()
    count = ground.moves("count", lot, "100", reason="seen")
    coordinator.does("stock_movement", "void", id=count.id, **WHY)

    assert codes(ground.moves("loss", lot, "1", happened_at="2027-05-01T07:30:00-05:00", **SAID)) == []


# -- beyond the book -------------------------------------------------------------------------------


def test_what_was_spilled_beyond_the_book_is_recorded_and_wants_a_count(ground):
    lot = ground.lot()

    spilled = ground.moves("spill", lot, "130", **SAID)

    count = flagged().get()
    assert codes(spilled) == ["lot_overdrawn"]
    assert (count.lot_id, count.cause_id, codes(count)) == (lot, spilled.id, ["count_wanted"])
    assert count.delta_nl == -spilled.delta_nl - GAL == 59_147_059
    assert "0.01562 US gallons more" in count.marks[0]["detail"]
    assert (left(lot), Lot.objects.get(id=lot).entries) == (0, 2)


def test_voiding_what_was_spilled_beyond_the_book_takes_its_count_back(ground, coordinator):
    lot = ground.lot()
    spilled = ground.moves("spill", lot, "130", **SAID)

    coordinator.does("stock_movement", "void", id=spilled.id, **WHY)

    assert (left(lot), Lot.objects.get(id=lot).entries) == (GAL, 0)
    assert flagged().get().voided_at is not None

    coordinator.does("stock_movement", "reinstate", id=spilled.id, reason="it was real")

    assert (left(lot), Lot.objects.get(id=lot).entries) == (0, 2)
    assert [count.voided_at is None for count in flagged().order_by("entered_at", "id")].count(True) == 1
    assert codes(StockMovement.objects.get(id=spilled.id)) == ["lot_overdrawn"]


def test_a_hundred_and_twenty_eight_ounces_empty_a_gallon_and_nobody_overdraws_it(ground):
    lot = ground.lot()

    for _ in range(128):
        moved = ground.moves("loss", lot, "1", **SAID)

    assert (left(lot), codes(moved), moved.delta_nl) == (0, [], -(FL_OZ - 56))
    assert not flagged().exists()


# -- corrections -----------------------------------------------------------------------------------


@pytest.mark.parametrize("what", ["receipt", "transfer", "loss", "count"])
def test_a_movement_is_voided_once_and_put_back(ground, coordinator, what):
    lot, shed = ground.lot(), ground.lot(store="North shed")
    more = {"to_lot": shed} if what == "transfer" else {"reason": "seen"}
    id = ground.moves(what, lot, "100", **more).id
    after = left(lot), left(shed)

    for _ in range(2):
        coordinator.does("stock_movement", "void", id=id, **WHY)
    voided = left(lot), left(shed)
    coordinator.does("stock_movement", "reinstate", id=id, reason="it was real")

    assert voided == (GAL, GAL)
    assert (left(lot), left(shed)) == after


def test_a_count_put_back_is_compared_with_what_the_book_holds_by_then(ground, coordinator):
    lot = ground.lot()
    id = ground.moves("count", lot, "120", reason="seen").id
    coordinator.does("stock_movement", "void", id=id, **WHY)
    ground.moves("loss", lot, "28", **SAID)

    coordinator.does("stock_movement", "reinstate", id=id, reason="it was right")

    assert left(lot) == 3_548_823_548
    assert StockMovement.objects.get(id=id).delta_nl == 3_548_823_548 - (GAL - 828_058_828)


# -- who -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("what", ["spill", "loss", "disposal"])
def test_whoever_works_may_say_what_was_lost_spilled_or_disposed_of(ground, cast, what):
    ground.moves(what, ground.lot(), "1", cast.volunteer)

    assert StockMovement.objects.get().entered_by_id == cast.volunteer.person.id


@pytest.mark.parametrize("what", ["receipt", "return", "transfer", "count"])
def test_what_keeps_the_stock_is_the_coordinators(ground, cast, what):
    lot = ground.lot()

    with pytest.raises(NotPermitted):
        ground.moves(what, lot, "1", cast.volunteer)

    assert not StockMovement.objects.exists()


def test_one_takes_back_ones_own_spill_and_not_anothers(ground, cast):
    lot = ground.lot()
    mine, theirs = (ground.moves("spill", lot, "1", who, **SAID).id for who in (cast.volunteer, cast.coordinator))

    cast.volunteer.does("stock_movement", "void", id=mine, **WHY)
    with pytest.raises(NotPermitted):
        cast.volunteer.does("stock_movement", "void", id=theirs, **WHY)

    assert StockMovement.objects.get(voided_at=None).id == theirs


# -- the last wall ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("model", "values"),
    [
        (Lot, {"left_nl": -1}), (Lot, {"received_nl": 0}), (Lot, {"cost_cents": 5}),
        (StockMovement, {"volume_nl": None}), (StockMovement, {"volume_nl": -1}),
        (Lot, {"currency": "USD"}), (StockMovement, {"lot_id": None}),
    ],
    ids=lambda value: value.__name__ if isinstance(value, type) else next(iter(value)),
)  # fmt: skip
def test_the_database_refuses_what_cannot_be(ground, model, values):
    ground.moves("spill", ground.lot(), "1", **SAID)

    with pytest.raises(IntegrityError), transaction.atomic():
        model.objects.update(**values)
