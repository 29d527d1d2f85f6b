"""GET stock and a lot's ledger: whole nanolitres that add up, in a constant number of statements."""

from types import SimpleNamespace

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from jsonschema import Draft202012Validator

from api import stock
from stewardship.treatments.models import Lot
from stewardship.treatments.queries.stock import MOVED
from tests.api.asking import get
from tests.api.test_schema import DOCUMENT
from tests.cast import AT, sent
from tests.ground import fl_oz, lay_out, lb
from tests.stewardship.treatments.records import tank_mix

pytestmark = pytest.mark.django_db
GAL = 3_785_411_784
POUND = 453_592_370
SAID = {"incident": "A can fell over; soaked up."}


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    """Let the view read the clock of the tests: 1 May 2027."""
    monkeypatch.setattr(stock, "timezone", SimpleNamespace(now=lambda: AT))


@pytest.fixture
def ground(coordinator):
    return lay_out(coordinator)


def asked(someone, at, **parameters):
    found = get(someone, at, **parameters)
    assert found.status_code == 200, found.content
    body = found.json()
    address = at if at == "stock" else "lots/{id}/ledger"
    schema = DOCUMENT["paths"][f"/api/v1/groups/{{group}}/{address}"]["get"]["responses"]["200"]
    told = schema["content"]["application/json"]["schema"] | {"components": DOCUMENT["components"]}
    Draft202012Validator(told).validate(body)
    return body


def adds_up(sums, base="nl"):
    moved = sum(sums["moved"][f"{what}_{base}"] for what in MOVED)
    return sums[f"received_{base}"] + moved - sums[f"drawn_{base}"] == sums[f"left_{base}"] >= 0


def everything(ground):
    """Move one lot in every way there is, and return it and the lot that some of it went to."""
    lot, shed = ground.lot(cost_cents=9_900, currency="USD"), ground.lot(store="North shed", purchased_on="2027-04-01")
    ground.moves("receipt", lot, "64")
    ground.moves("return", lot, "2")
    ground.moves("transfer", lot, "16", to_lot=shed)
    for what in ("loss", "spill", "disposal"):
        ground.moves(what, lot, "3", manner="County collection", **SAID)
    ground.draws(lot)
    ground.moves("count", lot, "150", reason="the jug was not quite full")
    return lot, shed


# -- stock -----------------------------------------------------------------------------------------


def test_stock_tells_each_lot_with_what_moved_it_and_what_is_left(ground, volunteer):
    lot, shed = everything(ground)

    body = asked(volunteer, "stock")

    (product,) = body["results"]
    first, second = product["lots"]
    assert (product["product"], product["registration_no"], body["on"]) == (
        str(ground.product), "99990-101", "2027-05-01",
    )  # fmt: skip
    assert [first["lot"], second["lot"]] == [str(lot), str(shed)]
    assert all(adds_up(each) for each in (product, first, second))
    assert first["left_nl"] == Lot.objects.get(id=lot).left_nl == 4_436_029_434
    assert {what: first["moved"][f"{what}_nl"] for what in MOVED if first["moved"][f"{what}_nl"]} == {
        "receipt": 1_892_705_892, "return": 59_147_059, "transfer_out": -473_176_473, "loss": -88_720_589,
        "spill": -88_720_589, "disposal": -88_720_589, "count": first["moved"]["count_nl"],
    }  # fmt: skip
    assert second["moved"]["transfer_in_nl"] == 473_176_473
    assert (first["age_days"], first["cost_cents"], first["counted_at"]) == (61, 9_900, "2027-05-01T14:00:00.000000Z")
    assert first["left"] == {"value": "150", "unit": "fl_oz"}
    assert product["left_nl"] == first["left_nl"] + second["left_nl"]


def bag(ground):
    """Draw on, spill from and count a bag of five pounds."""
    powder = ground.powder()
    lot = ground.lot(product=powder, received_mass=lb("5"))
    part = {"product": str(powder), "mass": lb("1"), "lots": [{"lot": str(lot)}]}
    ground.batch(carrier="water", parts=[part])
    ground.moves("spill", lot, mass=lb("0.5"), **SAID)
    ground.moves("count", lot, mass=lb("3.25"), reason="the bag was damp")
    return lot


def test_a_dry_lot_is_told_by_weight_and_in_no_sum_of_volume(ground, volunteer):
    ground.lot()
    lot = bag(ground)

    dry, liquid = sorted(asked(volunteer, "stock")["results"], key=lambda product: "left_ug" not in product)

    (told,) = dry["lots"]
    assert told["lot"] == str(lot)
    assert all(adds_up(each, "ug") and "left_nl" not in each for each in (dry, told))
    assert (told["left_ug"], told["left"]) == (13 * POUND // 4, {"value": "3.25", "unit": "lb"})
    assert (liquid["left_nl"], "left_ug" in liquid) == (GAL, False)


def test_the_ledger_of_a_dry_lot_opens_moves_and_closes_by_weight(ground, volunteer):
    """A pound of 453,592,370 micrograms: NIST Handbook 44, Appendix C."""
    body = asked(volunteer, f"lots/{bag(ground)}/ledger")

    assert (body["opening_ug"], body["closing_ug"], body["closing"]) == (
        5 * POUND, 13 * POUND // 4, {"value": "3.25", "unit": "lb"},
    )  # fmt: skip
    assert [line["what"] for line in body["results"]] == ["draw", "spill", "count"]
    assert body["opening_ug"] + sum(line["change_ug"] for line in body["results"]) == body["closing_ug"]
    assert body["results"][0]["change"] == {"value": "-1", "unit": "lb"}


@pytest.mark.parametrize(("asks", "places"), [("true", [1, 3]), ("false", [0, 2])])
def test_empty_lots_are_found_in_either_measure(ground, coordinator, asks, places):
    powder = ground.powder()
    lots = [ground.lot(), ground.lot()] + [ground.lot(product=powder, received_mass=lb("1")) for _ in range(2)]
    ground.moves("count", lots[1], "0", reason="rinsed")
    ground.moves("count", lots[3], mass=lb("0"), reason="the bag tore")

    found = get(coordinator, "lots", empty=asks).json()["results"]

    assert {each["id"] for each in found} == {str(lots[place]) for place in places}


def test_lots_stand_the_oldest_first_and_those_of_unknown_age_last(ground, coordinator):
    dates = ["2027-04-01", None, "2026-04-01"]
    lots = [ground.lot(purchased_on=on) for on in dates]

    (product,) = asked(coordinator, "stock")["results"]

    assert [each["purchased_on"] for each in product["lots"]] == ["2026-04-01", "2027-04-01", None]
    assert product["lots"][2]["age_days"] is None
    assert {each["lot"] for each in product["lots"]} == {str(lot) for lot in lots}


def test_a_lot_that_was_overdrawn_waits_for_a_count_until_it_is_counted(ground, coordinator):
    lot = ground.lot(received=fl_oz("10"))
    ground.draws(lot)

    waiting = asked(coordinator, "stock")
    ground.moves("count", lot, "1", reason="more was in the jug than it said")
    counted = asked(coordinator, "stock")

    (told,) = waiting["results"][0]["lots"]
    assert (waiting["to_count"], told["to_count"]) == ([str(lot)], True)
    assert [warning["code"] for warning in told["warnings"]] == ["count_wanted"]
    assert told["warnings"][0]["detail"].startswith("2.8 US fluid ounces were taken out beyond the book")
    assert told["moved"]["not_counted_nl"] == 378_541_178 - 295_735_296
    assert (counted["to_count"], counted["results"][0]["lots"][0]["warnings"]) == ([str(lot)], told["warnings"])

    ground.moves("count", lot, "1", at=AT.replace(hour=16))
    assert asked(coordinator, "stock")["to_count"] == []


def test_what_is_left_past_its_shelf_life_or_under_an_old_label_is_told_as_of_the_date(ground, coordinator):
    coordinator.does("product", "amend", id=ground.product, label_version="2026-11")
    ground.lot(purchased_on="2025-05-01", label_version="2024-02")
    empty = ground.lot(purchased_on="2020-01-01", received=fl_oz("1"))
    ground.moves("count", empty, "0", reason="rinsed")

    def codes(**on):
        lots = asked(coordinator, "stock", **on)["results"][0]["lots"]
        return [[warning["code"] for warning in lot["warnings"]] for lot in lots]

    assert codes() == [[], ["label_outdated"]]
    assert codes(on="2027-05-02") == [[], ["lot_past_shelf_life", "label_outdated"]]


def test_stock_is_asked_for_one_product_and_leaves_voided_lots_out(ground, coordinator):
    other = tank_mix(ground)["parts"][1]["product"]
    mine, theirs = ground.lot(), ground.lot(product=other)
    coordinator.does("lot", "void", id=ground.lot(), reason="typed twice")

    every, one = asked(coordinator, "stock"), asked(coordinator, "stock", product=other)

    assert [lot["lot"] for product in every["results"] for lot in product["lots"]] == [str(theirs), str(mine)]
    assert [lot["lot"] for product in one["results"] for lot in product["lots"]] == [str(theirs)]


def test_stock_says_how_many_entries_wait_for_a_person(ground, coordinator):
    lot = ground.lot()
    told = {"what": "count", "lot": str(lot), "volume": fl_oz("100"), "by": str(coordinator.member.id)}
    coordinator.pushes(sent("stock_movement", "create", told | {"happened_at": "2027-05-01T09:00:00-05:00"}))

    body = asked(coordinator, "stock")

    assert (body["held"], body["results"][0]["left_nl"]) == (1, GAL)


def test_a_group_without_lots_has_no_stock(coordinator):
    body = asked(coordinator, "stock")

    assert (body["results"], body["to_count"]) == ([], [])


@pytest.mark.parametrize(
    ("parameters", "code"),
    [({"on": "May"}, "filter_invalid"), ({"product": "x"}, "filter_invalid"), ({"lot": "x"}, "filter_unknown")],
    ids=["date", "product", "unknown"],
)
def test_what_cannot_be_asked_is_refused(coordinator, parameters, code):
    response = get(coordinator, "stock", **parameters)

    assert (response.status_code, response.json()["code"]) == (400, code)


def test_more_lots_than_anybody_reads_are_refused(ground, coordinator, monkeypatch):
    monkeypatch.setattr(stock, "MOST_LOTS", 1)
    ground.lot()
    assert asked(coordinator, "stock")["results"]
    ground.lot()

    response = get(coordinator, "stock")

    assert (response.status_code, response.json()["code"]) == (400, "too_many_lots")


# -- the ledger ------------------------------------------------------------------------------------


def test_the_stock_ledger_of_a_lot_opens_moves_and_closes(ground, volunteer):
    """Opening + movements = closing."""
    lot, shed = everything(ground)

    body, other = asked(volunteer, f"lots/{lot}/ledger"), asked(volunteer, f"lots/{shed}/ledger")

    assert body["opening_nl"] == GAL
    assert body["opening_nl"] + sum(line["change_nl"] for line in body["results"]) == body["closing_nl"]
    assert body["closing_nl"] == Lot.objects.get(id=lot).left_nl
    balances = [body["opening_nl"]]
    for line in body["results"]:
        balances.append(balances[-1] + line["change_nl"])
    assert [line["balance_nl"] for line in body["results"]] == balances[1:]
    assert [line["what"] for line in body["results"]] == [
        "receipt", "return", "transfer_out", "loss", "spill", "disposal", "draw", "count",
    ]  # fmt: skip
    assert [(line["what"], line["change_nl"]) for line in other["results"]] == [("transfer_in", 473_176_473)]
    assert body["results"][-1]["reason"] == "the jug was not quite full"
    assert body["results"][5]["manner"] == "County collection"
    assert {line["type"] for line in body["results"]} == {"stock_movement", "batch"}


def test_the_ledger_of_a_span_opens_with_what_was_before_it(ground, coordinator):
    lot = ground.lot()
    for day in ("01", "03", "05"):
        ground.moves("spill", lot, "1", happened_at=f"2027-05-{day}T09:00:00-05:00", **SAID)
    voided = ground.moves("spill", lot, "1", happened_at="2027-05-03T09:00:00-05:00", **SAID)
    coordinator.does("stock_movement", "void", id=voided.id, reason="typed twice")

    body = asked(coordinator, f"lots/{lot}/ledger", **{"from": "2027-05-02", "to": "2027-05-04"})

    assert (body["opening_nl"], body["closing_nl"]) == (GAL - 29_573_530, GAL - 2 * 29_573_530)
    assert [line["on_date"] for line in body["results"]] == ["2027-05-03"]


def test_what_was_drawn_beyond_the_book_and_its_count_stand_side_by_side(ground, coordinator):
    lot = ground.lot(received=fl_oz("10"))
    ground.draws(lot)

    lines = asked(coordinator, f"lots/{lot}/ledger")["results"]

    assert sorted(line["what"] for line in lines) == ["draw", "not_counted"]
    assert sum(line["change_nl"] for line in lines) == -295_735_296
    marked = {line["what"]: {warning["code"] for warning in line["warnings"]} for line in lines}
    assert "lot_overdrawn" in marked["draw"]
    assert marked["not_counted"] == {"count_wanted"}


def test_another_groups_lot_has_no_ledger_here(ground, stranger):
    lot = ground.lot()

    response = get(stranger, f"lots/{lot}/ledger")

    assert response.status_code == 404


def test_reading_costs_the_same_statements_for_one_lot_and_for_twenty(ground, coordinator):
    lot, _ = everything(ground)
    asked(coordinator, "stock")  # the first request of the day notes that the device was seen

    def counted(at):
        with CaptureQueriesContext(connection) as seen:
            asked(coordinator, at)
        return len(seen)

    few = counted("stock"), counted(f"lots/{lot}/ledger")
    for _ in range(6):
        everything(ground)
        ground.moves("spill", lot, "1", **SAID)

    assert (counted("stock"), counted(f"lots/{lot}/ledger")) == few
    assert max(few) <= 12
