"""From what is wanted to the card, and from the card to the batch."""

from urllib.parse import urlencode

import pytest

from stewardship.catalog.models import Product
from stewardship.journal.ids import new_id
from stewardship.treatments.models import Batch, Lot
from tests.cast import AT
from tests.ground import ESTER, FL_OZ
from tests.published import published
from tests.stewardship.web.pages import NOBODY, ON, body, mix_of, send


def card(pages, who=None, **changes):
    client = (who or pages.cast.volunteer).signed_in()
    return client.get("/mix/card/?" + urlencode(mix_of(pages, **changes)))


def mixed(pages, **changes):
    told = {
        "mixed_on": ON, "mixed_at": "09:10", "mixed_by": pages.cast.volunteer.member.id, "mix": "64",
        "mix_unit": "fl_oz", "poured_0": "12.8", "how_known": "measured", "work_day": "", "note": "jug 3",
    }  # fmt: skip
    return told | changes


def mixes(pages, *, mid=None, **changes):
    address = "/mix/card/?" + urlencode(mix_of(pages))
    return send(pages.cast.volunteer.signed_in(), address, mid=mid, **mixed(pages, **changes))


@pytest.mark.parametrize(
    "row",
    [row for row in published("modot_821_15_1.csv") if row["unit"] == "fl_oz"],
    ids=lambda row: row["strength_pct"],
)
def test_the_card_for_a_gallon_pours_what_missouri_dot_prints(pages, row):
    """Missouri DOT, Engineering Policy Guide, table 821.15.1; the card rounds to four digits, the table to its own."""
    words = body(card(pages, make="128", strength=row["strength_pct"]))

    assert f"{row['product']} fl oz triclopyr ester 4 lb a.e./gal" in words


def test_the_card_says_the_order_how_much_it_makes_and_what_per_cent_of_what(pages):
    words = body(card(pages))

    assert "Makes 64 fl oz" in words
    assert words.index("1 32 fl oz oil") < words.index("2 12.8 fl oz triclopyr") < words.index("3 19.2 fl oz oil")
    assert "up to the 64 fl oz line" in words
    assert "% of product by volume 20 %" in words
    assert "0.4 lb a.e." in words


def test_what_the_label_does_not_state_is_unknown_on_the_card_and_points_to_the_label(pages):
    pages.coordinator.does("active_ingredient", "create", name="fosamine", form="ammonium salt")
    words = body(card(pages))

    assert "Signal word not on record: read it off the label." in words
    assert "demands for mixing is not on record here: read the label." in words


def test_the_card_shows_signal_word_and_what_to_wear_for_mixing_with_the_label_as_source(pages):
    pages.coordinator.does(
        "product", "amend", id=pages.ground.product, signal_word="danger", ppe_mixing="Goggles, apron, nitrile gloves",
        restricted_use=True, label_version="edition of 2026",
    )  # fmt: skip
    words = body(card(pages))

    assert "DANGER" in words
    assert "Goggles, apron, nitrile gloves" in words
    assert "edition of 2026" in words
    assert "Restricted-use product" in words


def test_an_ester_calls_for_the_cautions_on_heat_roots_and_water(pages):
    words = body(card(pages))

    assert "is an ester: in heat it turns to vapour" in words
    assert "can pass through roots to neighbouring plants" in words
    assert "keep it away from water, wells and wetlands" in words


def test_amounts_go_to_the_marks_of_the_measure_and_the_card_says_what_that_makes(pages):
    words = body(card(pages, finest_mark="1", finest_mark_unit="fl_oz"))

    assert "13 fl oz triclopyr" in words
    assert "% of product by volume 20.31 %" in words  # 13 / 64


def test_a_strength_over_a_stored_limit_is_told_with_its_source(pages):
    limit = {
        "what": "strength", "low": "10", "high": "15", "unit": "product_v_v", "method": "basal_bark", "carrier": "oil",
        "wording": "Mixes of 10 to 15 %.", "source": "An invented handbook, p. 3",
    }  # fmt: skip
    pages.coordinator.does("limit", "create", **limit)

    over = body(card(pages, method="basal_bark"))
    within = body(card(pages, method="basal_bark", strength="12"))
    unasked = body(card(pages))

    assert "An invented handbook, p. 3" in over
    assert "No stored limit exceeded; read the label." in within
    assert "Not compared with stored limits: no method was chosen." in unasked


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"make": ""}, "Please fill this in."),
        ({"make": "a lot"}, "is not a number we can read"),
        ({"make": "-4"}, "cannot be less than nothing"),
        ({"make": "0"}, "more than nothing"),
        ({"make": "99999999999"}, "check the number and the unit"),
        ({"strength": "120"}, "A strength cannot be more than 100 %"),
        ({"strength": "0"}, "A strength must be more than zero."),
        ({"strength": "95", "basis": "ae_w_v"}, "The product itself is weaker than the strength asked for"),
        ({"basis": ""}, "Please fill this in."),
        ({"product": "nonsense"}, "Choose one from the list."),
        ({"finest_mark": "40"}, "Take a finer measure"),
    ],
    ids=str,
)
def test_a_mix_that_cannot_be_is_refused_in_words_and_what_was_typed_stays(pages, changes, sentence):
    response = card(pages, **({"adjuvant": "blue dye", "adjuvant_strength": "0.5"} | changes))

    assert response.status_code == 400
    assert sentence in body(response)
    assert "Nothing was lost" in body(response)
    assert 'value="blue dye"' in response.content.decode()


def test_a_mix_is_recorded_as_it_was_poured(pages):
    response = mixes(pages)

    batch = Batch.objects.get()
    assert response["Location"] == f"/batches/{batch.id}/"
    assert (batch.mix_value, batch.mix_unit, batch.carrier, batch.note) == ("64", "fl_oz", "oil", "jug 3")
    assert [(part["product"], part["volume"]["value"]) for part in batch.parts] == [(str(pages.ground.product), "12.8")]
    assert batch.mixed_at.isoformat() == "2027-05-01T14:10:00+00:00"
    assert abs(batch.mix_nl - 64 * FL_OZ) <= 64


def test_a_mix_that_is_handed_in_twice_is_one_batch(pages):
    mid = new_id()

    first, second = mixes(pages, mid=mid), mixes(pages, mid=mid)

    assert first["Location"] == second["Location"]
    assert Batch.objects.count() == 1


def test_a_mix_by_somebody_without_a_credential_is_recorded_and_marked(pages):
    response = mixes(pages)

    words = body(pages.cast.volunteer.signed_in().get(response["Location"]))
    assert "Marked: No herbicide credential is on record for 1 May 2027." in words


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"poured_0": "70"}, "come to more than the finished mix"),
        ({"poured_0": "twelve"}, "is not a number we can read"),
        ({"mix": ""}, "Please fill this in."),
        ({"mixed_on": "yesterday"}, "Enter a valid date."),
        ({"mixed_by": NOBODY}, "Choose one from the list."),
    ],
    ids=str,
)
def test_a_batch_that_cannot_be_is_refused_on_its_card_and_nothing_is_lost(pages, changes, sentence):
    response = mixes(pages, **changes)

    assert response.status_code in (400, 409)
    assert sentence in body(response)
    assert "This was not recorded" in body(response)
    assert "Pour in this order" in body(response)
    assert 'value="jug 3"' in response.content.decode() or "jug 3" in body(response)
    assert Batch.objects.count() == 0


def test_a_reviewer_reads_the_card_but_records_no_batch(pages):
    address = "/mix/card/?" + urlencode(mix_of(pages))
    client = pages.cast.reviewer.signed_in()

    assert "I mixed this" not in body(client.get(address))
    assert send(client, address, **mixed(pages)).status_code == 404
    assert Batch.objects.count() == 0


def test_the_list_of_batches_costs_the_same_statements_for_few_and_for_many(pages, django_assert_max_num_queries):
    client = pages.coordinator.signed_in()
    pages.ground.batch()
    with django_assert_max_num_queries(20) as few:
        client.get("/batches/")
    for _ in range(5):
        pages.ground.batch(by=pages.cast.volunteer, at=AT)

    with django_assert_max_num_queries(20) as many:
        client.get("/batches/")

    assert len(many) == len(few)


def test_changing_a_mix_brings_back_what_was_asked_for(pages):
    client = pages.cast.volunteer.signed_in()

    html = client.get("/mix/?" + urlencode(mix_of(pages, make="96", strength="12.5"))).content.decode()

    assert 'value="96"' in html
    assert 'value="12.5"' in html
    assert f'<option value="{pages.ground.product}" selected>' in html


def drawn():
    (part,) = Batch.objects.get().parts
    return [each["lot"] for each in part["lots"]]


def test_the_card_asks_for_the_lot_and_the_oldest_is_chosen_as_a_hint(pages):
    ground = pages.ground
    new, old = ground.lot(purchased_on="2027-04-01"), ground.lot(purchased_on="2026-04-01", store="Barn")
    ground.lot(purchased_on=None)

    html = card(pages).content.decode()
    words = body(card(pages))

    assert f'<option value="{old}" selected>' in html
    assert html.count("selected", html.index('name="lot_0"'), html.index("</select>", html.index('name="lot_0"'))) == 1
    places = [html.index(text) for text in (f'"{old}"', f'"{new}"', "bought on an unknown date")]
    assert places == sorted(places)
    assert "bought Wed 1 Apr 2026, Barn: 128 fl oz left" in words


def test_a_lot_past_its_last_day_and_one_that_is_empty_are_named_so_and_not_the_hint(pages):
    ground = pages.ground
    ground.lot(purchased_on="2024-04-01")
    empty, kept = ground.lot(purchased_on="2026-01-01"), ground.lot(purchased_on="2026-04-01")
    ground.moves("disposal", empty, "128", manner="County collection")

    html, words = card(pages).content.decode(), body(card(pages))

    assert f'<option value="{kept}" selected>' in html
    assert "bought Mon 1 Apr 2024: 128 fl oz left, past its shelf life" in words
    assert "bought Thu 1 Jan 2026: nothing left by the book" in words
    assert html.index(str(kept)) < html.index(str(empty))


def test_the_batch_draws_on_the_lot_that_was_chosen(pages):
    lot = pages.ground.lot()

    assert mixes(pages, lot_0=lot).status_code == 302

    assert drawn() == [str(lot)]
    words = body(pages.coordinator.signed_in().get(f"/stock/{lot}/"))
    assert "drawn into a batch" in words
    assert "115.2 fl oz left by the book" in words


def test_the_lot_may_be_left_open(pages):
    lot = pages.ground.lot()

    assert mixes(pages, lot_0="").status_code == 302

    assert drawn() == []
    assert Lot.objects.get(id=lot).left_nl == Lot.objects.get(id=lot).received_nl


def test_a_card_that_is_handed_in_twice_empties_its_lot_once(pages):
    lot, mid = pages.ground.lot(received={"value": "12.8", "unit": "fl_oz"}), new_id()

    assert [mixes(pages, mid=mid, lot_0=lot).status_code for _ in range(2)] == [302, 302]

    assert drawn() == [str(lot)]


def test_a_newer_lot_is_drawn_on_and_marked(pages):
    pages.ground.lot(purchased_on="2026-04-01")
    newer = pages.ground.lot(purchased_on="2027-04-01")

    words = body(pages.cast.volunteer.signed_in().get(mixes(pages, lot_0=newer)["Location"]))

    assert "Marked: A lot bought on 2027-04-01 was drawn on, and one bought on 2026-04-01 still" in words


@pytest.mark.parametrize("which", ["nobody", "other_product", "voided"])
def test_a_lot_that_is_not_in_the_list_is_refused_and_the_rest_is_kept(pages, which):
    ground, does = pages.ground, pages.coordinator.does
    ground.lot()
    voided = ground.lot()
    does("lot", "void", id=voided, reason="typed twice")
    other = does("product", "create", **ESTER | {"name": "another ester"}, ingredients=_ingredients(ground)).record.id
    lot = {"nobody": NOBODY, "other_product": ground.lot(product=other), "voided": voided}[which]

    refused = mixes(pages, lot_0=lot, note="jug 44")

    assert refused.status_code == 400
    assert "Choose one from the list." in body(refused)
    assert "jug 44" in body(refused)
    assert Batch.objects.count() == 0


def _ingredients(ground):
    (stated,) = Product.objects.get(id=ground.product).ingredients
    return [{"active_ingredient": stated["active_ingredient"], "ae": {"value": "4", "unit": "lb_gal"}}]
