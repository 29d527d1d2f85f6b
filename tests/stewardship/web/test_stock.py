"""The pages about stock: what is left, what waits for a count, a lot's ledger."""

from tests.ground import fl_oz, lb
from tests.stewardship.web.pages import body

SAID = {"incident": "A can fell over; soaked up."}


def test_a_group_without_lots_is_told_how_stock_begins(pages):
    words = body(pages.coordinator.signed_in().get("/stock/"))

    assert "Stock begins with a lot" in words
    assert "Waiting for a count" not in words


def test_lots_stand_the_oldest_first_with_what_is_left_of_each_and_of_the_product(pages):
    ground = pages.ground
    new, old = ground.lot(purchased_on="2027-04-01"), ground.lot(purchased_on="2025-04-01", store="Barn")
    ground.lot(purchased_on=None)
    ground.draws(old)
    ground.moves("spill", new, "4", **SAID)

    words = body(pages.coordinator.signed_in().get("/stock/"))

    assert "367.2 fl oz left" in words
    places = [words.index(text) for text in ("Tue 1 Apr 2025", "Thu 1 Apr 2027", "date unknown")]
    assert places == sorted(places)
    assert "Barn 128 fl oz 12.8 fl oz none 115.2 fl oz past its shelf life" in words
    assert "128 fl oz 0 fl oz −4 fl oz 124 fl oz nothing" in words
    assert "None: the book held everything that was taken out." in words


def test_a_lot_that_waits_for_a_count_stands_above_the_others_and_leads_to_its_ledger(pages):
    ground = pages.ground
    lot = ground.lot(received=fl_oz("10"))
    ground.draws(lot)
    client = pages.coordinator.signed_in()

    html = client.get("/stock/").content.decode()
    words = body(client.get("/stock/"))

    assert f'href="/stock/{lot}/"' in html
    assert "2.8 fl oz more was taken out than the book held. Count what is left of it." in words
    assert words.index("Waiting for a count") < words.index("Lots, the oldest first")


def test_a_ledger_shows_every_change_with_what_was_then_held_and_who_did_it(pages):
    ground = pages.ground
    lot = ground.lot(cost_cents=12_550, currency="USD", lot_number="K7-118")
    ground.draws(lot)
    ground.moves("disposal", lot, "5.2", pages.cast.volunteer, manner="County collection", receipt_no="CC-2207")
    ground.moves("count", lot, "100", reason="the jug drips")

    words = body(pages.coordinator.signed_in().get(f"/stock/{lot}/"))

    assert "100 fl oz left by the book" in words
    assert "Cost 125.50 USD" in words
    assert "Opening received with this lot +128 fl oz 128 fl oz" in words
    assert "drawn into a batch −12.8 fl oz 115.2 fl oz Maren Oduya" in words
    assert "disposed of County collection, receipt CC-2207 −5.2 fl oz 110 fl oz Tobias Quill" in words
    assert "counted the jug drips −10 fl oz 100 fl oz Maren Oduya" in words
    assert "Left by the book 100 fl oz" in words


def test_a_draw_shows_what_concerns_its_lot_and_not_the_mixers_credential(pages):
    ground = pages.ground
    lot = ground.lot(purchased_on="2025-01-01")
    ground.draws(lot)

    words = body(pages.coordinator.signed_in().get(f"/stock/{lot}/"))

    assert "drawn into a batch past its shelf life" in words
    assert "no herbicide credential" not in words
    assert "Source: FAO V8966E; Purdue Extension PPP-142" in words


def test_a_voided_lot_says_so_and_is_in_no_stock(pages):
    lot = pages.ground.lot()
    pages.coordinator.does("lot", "void", id=lot, reason="typed twice")
    client = pages.coordinator.signed_in()

    assert "This lot was voided: it is no part of the stock." in body(client.get(f"/stock/{lot}/"))
    assert "Stock begins with a lot" in body(client.get("/stock/"))


def test_what_is_unknown_of_a_lot_is_called_unknown(pages):
    words = body(pages.coordinator.signed_in().get(f"/stock/{pages.ground.lot(purchased_on=None)}/"))

    assert "bought on an unknown date" in words
    assert "Kept unknown Last day of use not stated Lot number unknown Label version unknown Cost unknown" in words
    assert "Last counted never" in words


def test_stock_costs_the_same_statements_for_few_lots_and_for_many(pages, django_assert_max_num_queries):
    client, ground = pages.coordinator.signed_in(), pages.ground
    ground.draws(ground.lot())
    with django_assert_max_num_queries(20) as few:
        client.get("/stock/")
    for _ in range(8):
        lot = ground.lot(received=fl_oz("10"))
        ground.draws(lot)
        ground.moves("spill", lot, "1", **SAID)
    with django_assert_max_num_queries(20) as many:
        client.get("/stock/")

    assert len(few) == len(many)


def test_only_who_keeps_the_stock_is_led_to_it(pages):
    coordinator, volunteer = pages.coordinator.signed_in(), pages.cast.volunteer.signed_in()

    assert 'href="/stock/"' in coordinator.get("/").content.decode()
    assert 'href="/stock/"' not in volunteer.get("/").content.decode()


def test_a_dry_lot_is_told_by_weight_beside_a_liquid_one(pages):
    ground = pages.ground
    ground.lot()
    powder = ground.powder()
    lot = ground.lot(product=powder, received_mass=lb("5"))
    part = {"product": str(powder), "pieces": 3, "lots": [{"lot": str(lot), "mass": lb("1.5")}]}
    ground.batch(carrier="water", parts=[part])
    ground.moves("spill", lot, mass=lb("0.5"), **SAID)
    client = pages.coordinator.signed_in()

    stock, ledger = body(client.get("/stock/")), body(client.get(f"/stock/{lot}/"))

    assert "place unknown 5 lb 1.5 lb −0.5 lb 3 lb nothing" in stock
    assert "128 fl oz left" in stock
    assert "3 lb left by the book" in ledger
    assert "Received 5 lb" in ledger
    assert "Opening received with this lot +5 lb 5 lb" in ledger
    assert "drawn into a batch −1.5 lb 3.5 lb" in ledger
