"""A volunteer takes a bottle out, brings it back and ticks what it was used on."""

import pytest

from stewardship.journal.ids import new_id
from stewardship.treatments.models import Application, Container, Session
from tests.stewardship.treatments.bottles import line, shared, taken_out, used
from tests.stewardship.web.pages import NOBODY, ON, body, send


@pytest.fixture
def client(pages):
    return pages.cast.volunteer.signed_in()


@pytest.fixture
def other_species(pages):
    told = {"scientific_name": "Lonicera maackii"}
    return pages.coordinator.does("species", "create", **told).record.id


def out(pages, client, batch, **changes):
    told = {
        "number": "3", "batch": batch, "filled": "16", "filled_unit": "fl_oz",
        "holder": pages.cast.volunteer.member.id, "on_date": ON, "out": "09:40", "work_day": "",
    }  # fmt: skip
    return send(client, "/bottles/out/", **told | changes)


def back(client, address, **changes):
    told = {
        "tap": "", "amount": "", "amount_unit": "fl_oz", "how_known": "read_off_container", "on_date": ON,
        "at": "11:05",
    }  # fmt: skip
    return send(client, f"{address}back/", **told | changes)


def where(pages, client, address, numbers, **changes):
    told = {
        "session": "", "unit": pages.ground.unit, "started": "09:45", "ended": "11:00", "method": "basal_bark",
        "follow_up": "no", "by": "stems",
    }  # fmt: skip
    for species, number in numbers.items():
        told |= {f"species-{species}-ticked": "on", f"species-{species}-count": number}
    return send(client, f"{address}lines/", **told | changes)


def test_out_back_with_a_tap_and_two_species_ticked_make_two_lines(pages, client, other_species):
    address = out(pages, client, pages.ground.batch())["Location"]
    assert "Bottle 3 is out." in body(client.get(address))

    home = back(client, address, tap="1/4")
    assert home["Location"] == address
    assert "12 fl oz used" in body(client.get(address))

    done = where(pages, client, address, {pages.ground.species: "3", other_species: "1"})
    words = body(client.get(done["Location"]))

    lines = {each.species_id: each for each in Application.objects.all()}
    assert {each.how_known for each in lines.values()} == {"apportioned"}
    assert (lines[pages.ground.species].stems, lines[other_species].stems) == (3, 1)
    assert "9 fl oz" in words
    assert "3 fl oz" in words
    session = Session.objects.get()
    assert (session.applicator_id, session.ended_at.isoformat()) == (
        pages.cast.volunteer.member.id,
        "2027-05-01T16:00:00+00:00",
    )


def test_a_bottle_that_is_out_and_one_to_split_stand_in_the_list_until_they_are_done(pages, client):
    batch = pages.ground.batch()
    taken_out(pages.ground, batch, number="7")
    to_split = used(pages.ground, batch, number="8")

    words = body(client.get("/bottles/"))
    assert "Bottle 7 16 fl oz, Maren Oduya, out since Sat 1 May 2027, 09:40" in words
    assert "Bottle 8 10 fl oz used by Maren Oduya on Sat 1 May 2027: say where it went." in words

    shared(pages.ground, to_split, pages.ground.session(), line(pages.ground))
    assert "Of every bottle that came back it is said where it went." in body(client.get("/bottles/"))


def test_the_next_bottle_of_the_morning_goes_into_the_session_that_is_there(pages, client):
    batch = pages.ground.batch()
    session = pages.ground.session(pages.cast.volunteer)
    address = out(pages, client, batch)["Location"]
    back(client, address, amount="6")

    assert f'<option value="{session}" selected>' in client.get(address).content.decode()
    where(pages, client, address, {pages.ground.species: ""}, session=session, unit="", started="")

    (only,) = Application.objects.all()
    assert (only.session_id, only.how_known, only.stems) == (session, "read_off_container", None)


def test_stated_shares_and_a_method_of_its_own(pages, client, other_species):
    address = out(pages, client, pages.ground.batch())["Location"]
    back(client, address, amount="100", amount_unit="ml", how_known="measured")

    where(
        pages, client, address, {pages.ground.species: "0.75", other_species: "0.25"}, by="share",
        **{f"species-{other_species}-method": "cut_stump"},
    )  # fmt: skip

    lines = {each.method: each for each in Application.objects.all()}
    assert lines["basal_bark"].mix_nl == pytest.approx(3 * lines["cut_stump"].mix_nl, abs=4)
    assert {each.stems for each in lines.values()} == {None}


def test_each_form_that_is_handed_in_twice_is_recorded_once(pages, client):
    batch, mids = pages.ground.batch(), [new_id() for _ in range(3)]
    addresses = {out(pages, client, batch, mid=mids[0])["Location"] for _ in range(2)}
    (address,) = addresses
    for _ in range(2):
        assert back(client, address, amount="6", mid=mids[1]).status_code == 302
    for _ in range(2):
        assert where(pages, client, address, {pages.ground.species: "4"}, mid=mids[2]).status_code == 302

    assert (Container.objects.count(), Application.objects.count(), Session.objects.count()) == (1, 1, 1)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"number": ""}, "Please fill this in."),
        ({"batch": NOBODY}, "Choose one from the list."),
        ({"filled": "1,5"}, "is not a number we can read"),
        ({"filled": "0"}, "more than nothing"),
        ({"holder": NOBODY}, "Choose one from the list."),
        ({"out": ""}, "Please fill this in."),
    ],
    ids=str,
)
def test_an_outing_that_cannot_be_is_refused_in_words_and_nothing_typed_is_lost(pages, client, changes, sentence):
    told = {"batch": pages.ground.batch(), "number": "red 3"} | changes
    response = out(pages, client, **told)

    assert response.status_code in (400, 409)
    assert sentence in body(response)
    assert "Nothing was lost" in body(response)
    assert changes.get("number", "red 3") in response.content.decode()
    assert Container.objects.count() == 0


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({}, "Tap how full it came back, or write the amount."),
        ({"tap": "1/2", "amount": "8"}, "Both are filled in."),
        ({"tap": "1/3"}, "Choose one from the list."),
        ({"amount": "16.5"}, "16.5 US fluid ounces came back in bottle 3, and only 16 US fluid ounces went out in it."),
        ({"amount": "some"}, "is not a number we can read"),
        ({"amount": "6", "at": "09:00"}, "The bottle came back before it went out."),
        ({"amount": "6", "at": ""}, "Please fill this in."),
    ],
    ids=str,
)
def test_what_cannot_have_come_back_is_refused_in_words_and_nothing_typed_is_lost(pages, client, changes, sentence):
    address = out(pages, client, pages.ground.batch())["Location"]

    response = back(client, address, **changes)

    assert response.status_code in (400, 409)
    assert sentence in body(response)
    if "amount" in changes:
        assert f'value="{changes["amount"]}"' in response.content.decode()
    assert Container.objects.get().back_at is None


@pytest.mark.parametrize(
    ("number", "changes", "sentence"),
    [
        (None, {}, "Nothing is ticked yet"),
        ("", {"method": ""}, "Please fill this in."),
        ("some", {}, "Write how many stems, as a whole number"),
        ("0", {}, "Write how many stems, as a whole number"),
        ("-2", {"by": "share"}, "is not a number we can read"),
        ("4", {"unit": ""}, "the session is not recorded yet"),
        ("4", {"started": ""}, "the session is not recorded yet"),
        ("4", {"ended": "08:00"}, "The end lies before the beginning."),
        ("4", {"session": NOBODY}, "Choose one from the list."),
    ],
    ids=str,
)
def test_a_split_that_cannot_be_is_refused_in_words_and_nothing_typed_is_lost(pages, client, number, changes, sentence):
    address = out(pages, client, pages.ground.batch())["Location"]
    back(client, address, amount="6")

    response = where(pages, client, address, {} if number is None else {pages.ground.species: number}, **changes)

    assert response.status_code in (400, 409)
    assert sentence in body(response)
    if number:
        assert f'value="{number}"' in response.content.decode()
    assert (Session.objects.count(), Application.objects.count()) == (0, 0)


def test_of_two_species_each_needs_its_number(pages, client, other_species):
    address = out(pages, client, pages.ground.batch())["Location"]
    back(client, address, amount="6")

    response = where(pages, client, address, {pages.ground.species: "4", other_species: ""})

    assert "With more than one species, each needs its number." in body(response)
    assert Application.objects.count() == 0


def test_a_bottle_that_is_filled_from_nothing_says_how_to_begin(pages, client):
    assert "There is none: mix one first" in body(client.get("/bottles/out/"))


def test_marks_stand_on_the_page_and_the_batch_tells_what_is_out(pages, client):
    batch = pages.ground.batch()
    address = out(pages, client, batch, filled="65")["Location"]

    assert "Recorded and marked: More was filled than the batch has left" in body(client.get(address))
    assert "65 fl oz of it are in bottles that are out." in body(client.get(f"/batches/{batch}/"))

    back(client, address, amount="55")
    assert "10 fl oz of it were used out of bottles and stand in no line yet." in body(client.get(f"/batches/{batch}/"))


def test_a_number_that_is_out_already_is_recorded_and_the_page_says_so(pages, client):
    batch = pages.ground.batch()
    taken_out(pages.ground, batch, number="3")

    words = body(client.get(out(pages, client, batch, out="10:15")["Location"]))

    assert "Recorded and marked: Bottle 3 was out already, since 2027-05-01 09:40." in words
    assert Container.objects.count() == 2


def test_a_reviewer_sees_a_bottle_and_is_asked_nothing(pages):
    bottle = taken_out(pages.ground, pages.ground.batch())

    words = body(pages.cast.reviewer.signed_in().get(f"/bottles/{bottle.id}/"))

    assert "16 fl oz" in words
    assert "It is back" not in words
