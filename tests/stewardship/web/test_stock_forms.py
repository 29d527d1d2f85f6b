"""A coordinator enters a lot, counts it, and says what came, went or was lost."""

import pytest

from stewardship.journal.ids import new_id
from stewardship.treatments.models import Lot, StockMovement
from stewardship.web.queries.stock import lots_of
from tests.ground import nl
from tests.stewardship.web.pages import NOBODY, ON, body, send


@pytest.fixture
def client(pages):
    return pages.coordinator.signed_in()


def bought(pages, client, *, mid=None, **changes):
    told = {
        "product": pages.ground.product, "received": "1", "received_unit": "gal", "purchased_on": "2027-03-01",
        "expires_on": "2029-02-28", "container": "jug of 1 gal", "store": "Tool shed", "lot_number": "K7-118",
        "label_version": "edition of 2026", "cost": "125.5", "currency": "usd", "note": "",
    }  # fmt: skip
    return send(client, "/stock/new/", mid=mid, **told | changes)


def counted(pages, client, lot, volume, *, mid=None, **changes):
    told = {
        "volume": volume, "volume_unit": "fl_oz", "reason": "", "on_date": ON, "at": "10:30",
        "by": pages.coordinator.member.id,
    }  # fmt: skip
    return send(client, f"/stock/{lot}/count/", mid=mid, **told | changes)


def moved(pages, client, lot, what, volume="8", *, mid=None, **changes):
    told = {
        "what": what, "volume": volume, "volume_unit": "fl_oz", "to_lot": "", "incident": "", "manner": "",
        "receipt_no": "", "note": "", "on_date": ON, "at": "10:30", "by": pages.coordinator.member.id,
    }  # fmt: skip
    return send(client, f"/stock/{lot}/move/", mid=mid, **told | changes)


# -- a lot is entered ------------------------------------------------------------------------------


def test_a_lot_is_entered_and_its_page_says_all_of_it(pages, client):
    done = bought(pages, client)

    words = body(client.get(done["Location"]))
    (lot,) = Lot.objects.all()
    assert done["Location"] == f"/stock/{lot.id}/"
    assert (lot.received_nl, lot.cost_cents, lot.currency) == (nl("128"), 12_550, "USD")
    assert "The lot is recorded." in words
    assert "bought Mon 1 Mar 2027" in words
    assert "Last day of use Wed 28 Feb 2029 Lot number K7-118 Label version edition of 2026" in words
    assert "Cost 125.50 USD" in words


def test_what_is_left_empty_of_a_lot_stays_unknown(pages, client):
    empty = dict.fromkeys(
        ("purchased_on", "expires_on", "container", "store", "lot_number", "label_version", "cost", "currency"), ""
    )

    words = body(client.get(bought(pages, client, **empty)["Location"]))

    assert "bought on an unknown date" in words
    assert "Kept unknown Last day of use not stated Lot number unknown Label version unknown Cost unknown" in words


def test_a_lot_that_is_handed_in_twice_is_recorded_once(pages, client):
    mid = new_id()

    addresses = {bought(pages, client, mid=mid)["Location"] for _ in range(2)}

    assert (len(addresses), Lot.objects.count()) == (1, 1)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"product": ""}, "Please fill this in."),
        ({"product": NOBODY}, "Choose one from the list."),
        ({"received": "1,5"}, "is not a number we can read"),
        ({"received": "0"}, "more than nothing"),
        ({"expires_on": "2027-02-01"}, "The last day of use lies before the day of purchase."),
        ({"cost": ""}, "Give a cost together with its currency"),
        ({"currency": ""}, "Give a cost together with its currency"),
        ({"cost": "12.345"}, "at most two digits after the point"),
        ({"cost": "twelve"}, "is not a number we can read"),
        ({"cost": "-3"}, "is not a number we can read"),
        ({"currency": "U$D"}, "Write the three letters of the currency"),
        ({"purchased_on": "soon"}, "Enter a valid date."),
    ],
    ids=str,
)
def test_a_lot_that_cannot_be_is_refused_in_words_and_nothing_typed_is_lost(pages, client, changes, sentence):
    response = bought(pages, client, **changes)

    assert response.status_code in (400, 409)
    assert sentence in body(response)
    assert "Nothing was lost" in body(response)
    for name, typed in ({"lot_number": "K7-118", "cost": "125.5", "received": "1"} | changes).items():
        if typed and name != "product":
            assert f'value="{typed}"' in response.content.decode()
    assert Lot.objects.count() == 0


def test_without_a_product_the_page_says_what_comes_first(pages, client):
    pages.coordinator.does("product", "retire", id=pages.ground.product)

    assert "There is none yet" in body(client.get("/stock/new/"))


def test_a_dry_lot_is_entered_counted_and_spilled_by_weight(pages, client):
    powder = pages.ground.powder()
    bought(pages, client, product=powder, received="5", received_unit="lb")
    (lot,) = Lot.objects.all()
    pound = lot.received_mass_ug // 5

    page = client.get(f"/stock/{lot.id}/").content.decode()
    counted(pages, client, lot.id, "4.5", volume_unit="lb", reason="the bag was damp")
    moved(pages, client, lot.id, "spill", "1", volume_unit="lb", incident="A bag tore; swept up.")

    assert 'value="lb" selected' in page
    assert 'value="gal"' not in page
    lot.refresh_from_db()
    assert (lot.left_ug, lot.left_nl) == (7 * pound // 2, None)
    assert "3.5 lb left by the book" in body(client.get(f"/stock/{lot.id}/"))


def test_a_lot_in_the_other_measure_is_refused_beside_its_field_and_in_words(pages, client):
    powder = pages.ground.powder()

    by_volume, by_weight = bought(pages, client, product=powder), bought(pages, client, received_unit="lb")

    assert "diuron powder 80 % is dry: it is weighed" in body(by_volume)
    assert "is a liquid: it is measured by volume, not weighed" in body(by_weight)
    assert not Lot.objects.exists()


def test_a_dry_lot_that_holds_something_stands_before_an_empty_one_to_choose_from(pages):
    powder = pages.ground.powder()
    empty, full = (
        pages.ground.lot(product=powder, received_mass={"value": "1", "unit": "lb"}, purchased_on=on)
        for on in ("2026-01-01", "2027-01-01")
    )
    pages.ground.moves("count", empty, mass={"value": "0", "unit": "lb"}, reason="the bag tore")

    found = lots_of(pages.coordinator.group_id, [powder])

    assert [lot.id for lot in found] == [full, empty]


def test_the_stock_leads_to_the_form(pages, client):
    assert 'href="/stock/new/"' in client.get("/stock/").content.decode()


# -- it is counted ---------------------------------------------------------------------------------


def test_a_count_that_agrees_with_the_book_needs_no_reason(pages, client):
    lot = pages.ground.lot()

    done = counted(pages, client, lot, "128")

    assert "The count is recorded." in body(client.get(done["Location"]))
    assert StockMovement.objects.get().delta_nl == 0


def test_a_count_that_differs_asks_why_beside_that_field_and_keeps_what_was_typed(pages, client):
    lot = pages.ground.lot()

    refused = counted(pages, client, lot, "120", at="10:17")

    html = refused.content.decode()
    sentence = "The book holds 128 US fluid ounces, and 120 US fluid ounces was counted: 8 US fluid ounces less."
    assert refused.status_code == 409
    assert f"Why it differs Only asked for where the count differs from the book. {sentence}" in body(refused)
    assert 'value="120"' in html
    assert 'value="10:17"' in html
    assert StockMovement.objects.count() == 0

    counted(pages, client, lot, "120", reason="The jug drips.")
    assert Lot.objects.get().left_nl == nl("120")
    assert "counted The jug drips. −8 fl oz 120 fl oz Maren Oduya" in body(client.get(f"/stock/{lot}/"))


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"volume": ""}, "Please fill this in."),
        ({"volume": "some"}, "is not a number we can read"),
        ({"volume": "-1"}, "cannot be less than nothing"),
        ({"by": NOBODY}, "Choose one from the list."),
        ({"at": ""}, "Please fill this in."),
    ],
    ids=str,
)
def test_a_count_that_cannot_be_read_is_refused_in_words(pages, client, changes, sentence):
    lot = pages.ground.lot()

    response = counted(pages, client, lot, **{"volume": "100", "reason": "It drips."} | changes)

    assert response.status_code in (400, 409)
    assert sentence in body(response)
    assert "It drips." in body(response)
    assert StockMovement.objects.count() == 0


def test_a_lot_that_waits_for_a_count_opens_with_the_form(pages, client):
    short, other = pages.ground.lot(received={"value": "10", "unit": "fl_oz"}), pages.ground.lot()
    pages.ground.draws(short)

    opened = {lot: "<details open><summary>Count it" in client.get(f"/stock/{lot}/").content.decode()
              for lot in (short, other)}  # fmt: skip

    assert opened == {short: True, other: False}


# -- something came, went or was lost --------------------------------------------------------------


@pytest.mark.parametrize(
    ("what", "left", "said"),
    [
        ("receipt", "136", {"receipt_no": "R-4"}),
        ("return", "136", {}),
        ("transfer", "120", {"manner": "To the crew at the next preserve"}),
        ("loss", "120", {"incident": "A can was stolen; told the sheriff."}),
        ("spill", "120", {"incident": "A can fell over; soaked up."}),
        ("disposal", "120", {"manner": "County collection", "receipt_no": "CC-2207"}),
    ],
)
def test_each_kind_moves_the_lot_and_says_what_it_was_asked(pages, client, what, left, said):
    lot = pages.ground.lot()

    words = body(client.get(moved(pages, client, lot, what, **said)["Location"]))

    assert Lot.objects.get().left_nl == nl(left)
    assert "It is recorded." in words
    assert "Recorded and marked" not in words
    for text in said.values():
        assert text in words


@pytest.mark.parametrize(
    ("what", "mark"),
    [
        ("loss", "Say what happened and what was done about it: a loss may be a spill."),
        ("spill", "Say what happened and what was done about it: a loss may be a spill."),
        ("disposal", "Say how and where it was disposed of."),
        ("transfer", "Say to whom it went: it left the group."),
    ],
)
def test_a_question_that_stays_unanswered_is_recorded_and_marked(pages, client, what, mark):
    lot = pages.ground.lot()

    words = body(client.get(moved(pages, client, lot, what)["Location"]))

    assert f"Recorded and marked: {mark}" in words
    assert Lot.objects.get().left_nl == nl("120")


def test_what_goes_into_another_lot_of_the_product_leaves_this_one(pages, client):
    old, new = pages.ground.lot(store="Barn"), pages.ground.lot(store="Shed")

    moved(pages, client, old, "transfer", to_lot=new)

    assert {lot.id: lot.left_nl for lot in Lot.objects.all()} == {old: nl("120"), new: nl("136")}
    assert "came from another lot +8 fl oz" in body(client.get(f"/stock/{new}/"))


def test_another_lot_is_named_for_a_transfer_alone_and_the_field_is_shown_with_its_refusal(pages, client):
    old, new = pages.ground.lot(), pages.ground.lot(store="Shed")

    refused = moved(pages, client, old, "spill", to_lot=new, incident="Fell over.")

    assert refused.status_code == 409
    assert "Only a transfer names a lot that the product goes to." in body(refused)
    assert 'class="of-transfer"' not in refused.content.decode()
    assert f'<option value="{new}" selected>' in refused.content.decode()


def test_more_than_the_book_held_is_recorded_and_wants_a_count(pages, client):
    lot = pages.ground.lot(received={"value": "5", "unit": "fl_oz"})

    words = body(client.get(moved(pages, client, lot, "spill", incident="Fell over.")["Location"]))

    assert "Recorded and marked: 3 US fluid ounces more than the book held was taken out of the lot." in words


@pytest.mark.parametrize(
    ("what", "changes", "sentence"),
    [
        ("", {}, "Please fill this in."),
        ("count", {}, "Choose one from the list."),
        ("spill", {"volume": "0"}, "more than nothing"),
        ("spill", {"volume": "much"}, "is not a number we can read"),
        ("transfer", {"to_lot": NOBODY}, "Choose one from the list."),
        ("spill", {"on_date": ""}, "Please fill this in."),
    ],
    ids=str,
)
def test_a_movement_that_cannot_be_is_refused_in_words_and_nothing_typed_is_lost(
    pages, client, what, changes, sentence
):
    lot = pages.ground.lot()

    response = moved(pages, client, lot, what, **{"incident": "A can fell over."} | changes)

    assert response.status_code in (400, 409)
    assert sentence in body(response)
    assert "A can fell over." in body(response)
    assert StockMovement.objects.count() == 0


def test_each_act_on_a_lot_that_is_handed_in_twice_is_recorded_once(pages, client):
    lot, mids = pages.ground.lot(), [new_id() for _ in range(2)]
    for _ in range(2):
        assert moved(pages, client, lot, "spill", incident="Fell over.", mid=mids[0]).status_code == 302
        assert counted(pages, client, lot, "100", reason="It drips.", mid=mids[1]).status_code == 302

    assert StockMovement.objects.count() == 2


def test_a_voided_lot_asks_for_nothing_and_takes_nothing(pages, client):
    lot = pages.ground.lot()
    pages.coordinator.does("lot", "void", id=lot, reason="typed twice")

    assert "Count it" not in body(client.get(f"/stock/{lot}/"))
    for response in (counted(pages, client, lot, "128"), moved(pages, client, lot, "receipt")):
        assert response.status_code == 409
        assert "This lot was voided." in body(response)
