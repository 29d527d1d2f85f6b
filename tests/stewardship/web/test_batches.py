"""A batch's page tells what is in it and whether it balances; what is left is measured there, and it is closed."""

import pytest

from stewardship.treatments.models import Batch, Leftover
from tests.ground import fl_oz
from tests.stewardship.web.pages import NOBODY, ON, body, send

pytestmark = pytest.mark.django_db(transaction=True)


def left(**changes):
    told = {"volume": "24", "volume_unit": "fl_oz", "how_known": "measured", "container": "bottle 3"}
    return told | {"measured_on": ON, "measured_at": "12:00", "kept_where": ""} | changes


@pytest.fixture
def batch(pages):
    id = pages.ground.batch()
    pages.ground.line(pages.ground.session(), id, "38")
    return id


def test_what_is_left_is_measured_and_the_page_says_what_is_missing(pages, batch):
    client = pages.cast.volunteer.signed_in()
    assert "Nobody has measured yet what is left of it." in body(client.get(f"/batches/{batch}/"))

    done = send(client, f"/batches/{batch}/measure/", **left())

    leftover = Leftover.objects.get()
    assert (done.status_code, leftover.volume_value, leftover.container) == (302, "24", "bottle 3")
    assert leftover.measured_at.isoformat() == "2027-05-01T17:00:00+00:00"
    words = body(client.get(done["Location"]))
    assert "24 fl oz, bottle 3: tag" in words
    assert "2 US fluid ounces are missing" in words
    assert "Close the batch" not in words, "somebody else's batch"


def test_more_than_was_mixed_is_recorded_and_shown(pages, batch):
    done = send(pages.coordinator.signed_in(), f"/batches/{batch}/measure/", **left(volume="40"))

    words = body(pages.coordinator.signed_in().get(done["Location"]))
    assert "over by 14 US fluid ounces" in words


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [({"volume": "some"}, "is not a number we can read"), ({"volume": ""}, "Please fill this in.")],
    ids=str,
)
def test_a_measure_that_cannot_be_read_is_refused_and_stays(pages, batch, changes, sentence):
    refused = send(pages.coordinator.signed_in(), f"/batches/{batch}/measure/", **left(**changes))

    assert refused.status_code in (400, 409)
    assert sentence in body(refused)
    assert 'value="bottle 3"' in refused.content.decode()
    assert not Leftover.objects.exists()


def test_a_batch_is_closed_with_a_reason_where_it_does_not_balance(pages, batch):
    client = pages.coordinator.signed_in()
    send(client, f"/batches/{batch}/measure/", **left())
    refused = send(client, f"/batches/{batch}/close/", reason="")
    assert refused.status_code == 409
    assert "Look for a line or a spill that was not entered, or say why." in body(refused)

    send(client, f"/batches/{batch}/close/", reason="the cup is a kitchen one")

    assert Batch.objects.get(id=batch).closed_at
    words = body(client.get(f"/batches/{batch}/"))
    assert "measuring difference 2 fl oz" in words
    assert "Marked: Of the batch of 64 US fluid ounces, 2 US fluid ounces are missing" in words


def test_a_batch_that_was_topped_up_tells_where_it_comes_from(pages, batch):
    made = pages.ground.top_up({"batch": str(batch), "volume": fl_oz("24")})

    words = body(pages.cast.reviewer.signed_in().get(f"/batches/{made}/"))

    assert "4.8 fl oz of triclopyr ester 4 lb a.e./gal, registration 99990-101 (with an earlier batch)" in words
    assert "24 fl oz of an earlier batch" in words
    assert "Measure what is left" not in words


def test_what_was_poured_on_disposed_of_and_spilled_stands_on_the_page(pages, batch):
    pages.ground.top_up({"batch": str(batch), "volume": fl_oz("20")})
    told = {"batch": batch, "happened_at": "2027-05-03T10:00:00-05:00", "by": pages.coordinator.member.id}
    does = pages.coordinator.does
    does("stock_movement", "create", what="disposal", volume=fl_oz("3"), manner="county collection", **told)
    does("stock_movement", "create", what="spill", volume=fl_oz("1"), incident="A cup tipped on a tray.", **told)

    words = body(pages.cast.reviewer.signed_in().get(f"/batches/{batch}/"))

    assert "Taken out otherwise 20 fl oz poured into another batch" in words
    assert "3 fl oz disposed of Mon 3 May 2027, 10:00" in words
    assert "county collection" in words
    assert "A cup tipped on a tray." in words
    assert "1 fl oz spilled Mon 3 May 2027, 10:00" in words
    assert "written by Maren Oduya" in words


def test_a_batch_is_told_apart_by_what_is_in_it(pages, batch):
    client = pages.cast.volunteer.signed_in()

    assert "64 fl oz triclopyr ester 4 lb a.e./gal" in body(client.get("/batches/"))
    for address in ("/record-use/", "/bottles/out/"):
        told = body(client.get(address))
        assert "Sat 1 May 2027: 26 fl oz left of 64 fl oz, triclopyr ester 4 lb a.e./gal" in told


def test_the_tag_is_a_page_and_says_what_the_batch_says(pages, batch):
    client = pages.cast.volunteer.signed_in()
    leftover, unknown = pages.ground.leftover(batch, "24"), pages.ground.leftover(None, "20")

    tag, of_what_is_left, found = (
        body(client.get(f"/{address}/tag/"))
        for address in (f"batches/{batch}", f"leftovers/{leftover}", f"leftovers/{unknown}")
    )

    for words in (tag, of_what_is_left):
        assert "20 % of this product by volume of finished mix (product v/v)" in words
        assert "registration 99990-101" in words
        assert "Signal word not on record: read it off the label." in words
        assert "Mixed 2027-05-01 09:00 by Maren Oduya" in words
    assert "24 US fluid ounces, measured, 2027-05-01 12:00" in of_what_is_left
    assert found.index("Contents unknown – do not use") < found.index("20 US fluid ounces")
    assert "Not to be used, pooled, diluted or topped up" in found


@pytest.mark.parametrize("address", ["batches/{}/", "batches/{}/tag/", "leftovers/{}/tag/"])
def test_what_is_not_the_groups_does_not_exist_here(pages, batch, address):
    leftover = pages.ground.leftover(batch, "24")
    id = leftover if address.startswith("left") else batch

    assert pages.cast.stranger.signed_in().get("/" + address.format(id)).status_code == 404
    assert pages.coordinator.signed_in().get("/" + address.format(NOBODY)).status_code == 404
    assert pages.coordinator.signed_in().get("/" + address.format(id)).status_code == 200
