"""What was used, in one form, all or nothing; and work without herbicide."""

import pytest

from stewardship.journal.ids import new_id
from stewardship.treatments.models import Application, Batch, Session, WorkLine
from tests.stewardship.web.pages import NOBODY, ON, body, send, use_of

AT = "/record-use/"


def records(pages, holder, *, mid=None, **changes):
    return send(pages.cast.volunteer.signed_in(), AT, mid=mid, **use_of(pages, holder) | changes)


def second_line(pages, amount):
    return {
        "line1-species": pages.ground.species, "line1-method": "cut_stump", "line1-amount": amount,
        "line1-amount_unit": "fl_oz", "line1-how_known": "estimated", "line1-stems": "",
    }  # fmt: skip


def test_a_session_and_its_lines_are_recorded_together_and_shown_with_what_is_left(pages):
    batch = pages.ground.batch()

    response = records(pages, batch, **second_line(pages, "6"))
    words = body(pages.cast.volunteer.signed_in().get(response["Location"]))

    session = Session.objects.get()
    lines = {line.method: line for line in Application.objects.filter(session=session)}
    assert response["Location"] == f"/sessions/{session.id}/"
    assert (lines["basal_bark"].mix_value, lines["basal_bark"].stems, lines["basal_bark"].is_follow_up) == (
        "10",
        12,
        False,
    )
    assert (lines["cut_stump"].how_known, lines["cut_stump"].is_follow_up) == ("estimated", None)
    assert session.started_at.isoformat() == "2027-05-01T14:40:00+00:00"
    assert "48 fl oz of the batch of Sat 1 May 2027" in words
    assert "2 fl oz of triclopyr ester" in words
    assert "0.0625 lb a.e." in words  # 10 of 64 fl oz of a mix that holds 0.4 lb


def test_what_was_flagged_stands_on_the_result(pages):
    response = records(pages, pages.ground.batch())

    words = body(pages.cast.volunteer.signed_in().get(response["Location"]))

    assert "Recorded and marked: No herbicide credential is on record for 1 May 2027." in words


def test_a_form_that_is_handed_in_twice_is_recorded_once(pages):
    batch, mid = pages.ground.batch(), new_id()

    first = records(pages, batch, mid=mid, **second_line(pages, "6"))
    second = records(pages, batch, mid=mid, **second_line(pages, "6"))

    assert first["Location"] == second["Location"]
    assert (Session.objects.count(), Application.objects.count()) == (1, 2)
    assert Batch.objects.get().lines == 2


def test_more_than_the_batch_holds_is_refused_and_of_the_whole_form_nothing_is_recorded(pages):
    batch = pages.ground.batch()

    response = records(pages, batch, **second_line(pages, "60"))

    words = body(response)
    assert response.status_code == 409
    assert "This was not recorded" in words
    assert "left" in words
    assert 'value="60"' in response.content.decode()
    assert 'value="10"' in response.content.decode()
    assert (Session.objects.count(), Application.objects.count(), Batch.objects.get().used_nl) == (0, 0, 0)


def test_after_a_refusal_the_mended_form_is_recorded(pages):
    batch, mid = pages.ground.batch(), new_id()
    records(pages, batch, mid=mid, **second_line(pages, "60"))

    response = records(pages, batch, mid=mid, **second_line(pages, "50"))

    assert response.status_code == 302
    assert Application.objects.count() == 2


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"line0-amount": ""}, "Please fill this in."),
        ({"line0-species": ""}, "Please fill this in."),
        ({"line0-how_known": ""}, "Please fill this in."),
        ({"line0-amount": "1,5"}, "is not a number we can read"),
        ({"line0-amount": "-3"}, "cannot be less than nothing"),
        ({"line0-amount": "0"}, "more than nothing"),
        ({"line0-stems": "0"}, "greater than or equal to 1"),
        ({"line0-stems": "some"}, "Enter a whole number."),
        ({"line0-species": NOBODY}, "Choose one from the list."),
        ({"unit": NOBODY}, "Choose one from the list."),
        ({"batch": NOBODY}, "Choose one from the list."),
        ({"started": ""}, "Please fill this in."),
        ({"ended": "08:00"}, "The end lies before the beginning."),
        (
            {"line0-species": "", "line0-method": "", "line0-amount": "", "line0-how_known": "", "line0-stems": ""},
            "Nothing is entered yet",
        ),
    ],
    ids=str,
)
def test_use_that_cannot_be_is_refused_in_words_and_nothing_typed_is_lost(pages, changes, sentence):
    batch = pages.ground.batch()

    response = records(pages, batch, note="by the old fence", **changes)

    assert response.status_code in (400, 409)
    assert sentence in body(response)
    assert "Nothing was lost" in body(response)
    assert "by the old fence" in body(response)
    assert (Session.objects.count(), Application.objects.count()) == (0, 0)


def test_one_more_line_only_adds_a_row_and_keeps_what_was_typed(pages):
    batch = pages.ground.batch()

    response = records(pages, batch, more="1")

    html = response.content.decode()
    assert response.status_code == 200
    assert "Line 3" in body(response)
    assert "This was not recorded" not in body(response)
    assert 'name="line0-amount" value="10"' in html
    assert Application.objects.count() == 0


def test_a_batch_that_is_used_up_is_not_offered(pages):
    batch = pages.ground.batch()
    records(pages, batch, **{"line0-amount": "64"})

    assert "There is none: mix one first" in body(pages.cast.volunteer.signed_in().get(AT))


def test_the_address_fills_in_batch_unit_and_day(pages):
    batch = pages.ground.batch()
    today = pages.plans(ON)
    pages.coordinator.does("work_day", "open", id=today)

    html = pages.cast.volunteer.signed_in().get(f"{AT}?batch={batch}&unit={pages.ground.unit}&work_day={today}").content

    for id in (batch, pages.ground.unit, today):
        assert f'<option value="{id}" selected>' in html.decode()


def test_a_session_without_an_end_gets_one_and_an_end_before_its_beginning_is_refused(pages):
    response = records(pages, pages.ground.batch(), ended="")
    client = pages.cast.volunteer.signed_in()
    address = response["Location"]

    refused = send(client, f"{address}end/", ended_at="08:00")
    done = send(client, f"{address}end/", ended_at="11:00")

    assert refused.status_code == 409
    assert "The end lies before the beginning." in body(refused)
    assert done.status_code == 302
    assert Session.objects.get().ended_at.isoformat() == "2027-05-01T16:00:00+00:00"


def test_somebody_elses_session_is_not_ended_by_a_volunteer(pages):
    response = records(pages, pages.ground.batch(), ended="")

    other = pages.cast.other_volunteer.signed_in()

    assert "Record the end" not in body(other.get(response["Location"]))
    assert send(other, f"{response['Location']}end/", ended_at="11:00").status_code == 404
    assert Session.objects.get().ended_at is None


# -- without herbicide --------------------------------------------------------------------------------


def by_hand(pages, **changes):
    told = {
        "unit": pages.ground.unit, "species": pages.ground.species, "method": "pulling", "on_date": ON,
        "ended": "11:30", "hours": "4.5", "stems": "220", "area": "0.1", "area_unit": "acre", "follow_up": "yes",
        "work_day": "", "note": "along the creek",
    }  # fmt: skip
    return told | changes


def test_work_without_herbicide_is_recorded_and_shown(pages):
    client = pages.cast.volunteer.signed_in()

    response = send(client, "/record-hand-work/", **by_hand(pages))
    words = body(client.get(response["Location"]))

    line = WorkLine.objects.get()
    assert (line.minutes, line.stems, line.is_follow_up, line.area_value) == (270, 220, True, "0.1")
    assert "4.5 h" in words
    assert "0.1 acres" in words


def test_what_is_not_known_about_work_stays_unknown(pages):
    client = pages.cast.volunteer.signed_in()

    response = send(client, "/record-hand-work/", **by_hand(pages, hours="", stems="", area="", follow_up=""))

    line = WorkLine.objects.get()
    assert (line.minutes, line.stems, line.area_mm2, line.is_follow_up) == (None, None, None, None)
    assert body(client.get(response["Location"])).count("unknown") == 3


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"method": "basal_bark"}, "Choose one from the list."),
        ({"unit": ""}, "Please fill this in."),
        ({"hours": "-1"}, "greater than or equal to 0.02"),
        ({"hours": "NaN"}, "Enter a number."),
        ({"hours": "0"}, "greater than or equal to 0.02"),
        ({"area": "wide"}, "is not a number we can read"),
        ({"stems": "0"}, "greater than or equal to 1"),
        ({"on_date": ""}, "Please fill this in."),
    ],
    ids=str,
)
def test_work_that_cannot_be_is_refused_in_words_and_nothing_typed_is_lost(pages, changes, sentence):
    response = send(pages.cast.volunteer.signed_in(), "/record-hand-work/", **by_hand(pages, **changes))

    assert response.status_code in (400, 409)
    assert sentence in body(response)
    assert "along the creek" in body(response)
    assert WorkLine.objects.count() == 0


def test_work_that_is_handed_in_twice_is_recorded_once(pages):
    client, mid = pages.cast.volunteer.signed_in(), new_id()

    for _ in range(2):
        send(client, "/record-hand-work/", mid=mid, **by_hand(pages))

    assert WorkLine.objects.count() == 1


def test_the_form_for_use_shows_what_the_label_demands_for_mixing_and_for_applying(pages):
    wear = {"ppe_mixing": "Goggles and an apron", "ppe_applying": "Long sleeves"}
    pages.coordinator.does("product", "amend", id=pages.ground.product, **wear)
    batch = pages.ground.batch()

    words = body(pages.cast.volunteer.signed_in().get(f"{AT}?batch={batch}"))

    assert "For mixing triclopyr ester 4 lb a.e./gal: Goggles and an apron" in words
    assert "For applying triclopyr ester 4 lb a.e./gal: Long sleeves" in words
