"""The day on paper: an empty sheet to print, and a filled one typed in its own order, all or nothing."""

import pytest

from stewardship.journal.ids import new_id
from stewardship.treatments.models import Application, Container, Session
from tests.stewardship.web.pages import ON, body, send


@pytest.fixture
def day(pages):
    id = pages.plans(ON)
    pages.coordinator.does("work_day", "open", id=id)
    return id


@pytest.fixture
def batch(pages, day):
    return pages.ground.batch(work_day=day)


@pytest.fixture
def other_species(pages):
    return pages.coordinator.does("species", "create", scientific_name="Lonicera maackii").record.id


def row(n, **values):
    names = (
        "who",
        "number",
        "batch",
        "filled",
        "back",
        "species",
        "stems",
        "unit",
        "method",
        "longest_wait",
        "weather",
    )
    return {f"row{n}-{name}": values.get(name, "") for name in (*names, *values)}


def first(pages, batch, **changes):
    told = {
        "who": pages.cast.volunteer.member.id, "number": "3", "batch": batch, "filled": "16", "back": "6",
        "species": pages.ground.species, "stems": "3", "unit": pages.ground.unit, "method": "cut_stump",
        "longest_wait": "1_to_5_min", "weather": "light wind, dry", "is_signed": "on",
    }  # fmt: skip
    return row(0, **told | changes)


def types(pages, day, *rows, mid=None, **changes):
    told = {
        "writer": pages.cast.volunteer.member.id, "written_on": ON, "written": "11:20", "started": "09:30",
        "ended": "11:05", "amount_unit": "fl_oz",
    }  # fmt: skip
    for each in rows:
        told |= each
    return send(pages.coordinator.signed_in(), f"/work-days/{day}/transcribe/", mid=mid, **told | changes)


def test_the_empty_sheet_has_its_columns_in_their_order_and_the_days_batches_by_letter(pages, day, batch):
    response = pages.cast.volunteer.signed_in().get(f"/work-days/{day}/sheet/")

    words = body(response)
    headings = "Who Bottle Batch Filled Back Species Stems Unit Method Longest wait Weather Signature"
    assert headings in words
    assert "A = 64 fl oz, mixed 09:00 by Maren Oduya" in words
    assert "less than 1 minute; 1 to less than 5 minutes" in words
    assert response.content.decode().count("<td></td>") == 12 * 14


def test_a_typed_sheet_names_its_writer_and_its_typist(pages, day, batch, other_species):
    typed = types(
        pages,
        day,
        first(pages, batch),
        row(1, species=other_species, stems="1", unit=pages.ground.unit, method="basal_bark"),
    )

    assert typed["Location"] == f"/work-days/{day}/"
    session = Session.objects.get()
    assert (session.applicator_id, session.written_by_id) == (pages.cast.volunteer.member.id,) * 2
    assert session.written_at.isoformat() == "2027-05-01T16:20:00+00:00"
    assert session.entered_by_id == pages.coordinator.person.id
    assert [reading["sky"] for reading in session.weather] == ["light wind, dry"]
    assert session.note == "Signed on the paper sheet."
    assert session.attested_at is None
    lines = {each.method: each for each in Application.objects.all()}
    assert lines["cut_stump"].mix_nl == pytest.approx(3 * lines["basal_bark"].mix_nl, abs=4)
    assert (lines["cut_stump"].longest_wait, lines["basal_bark"].longest_wait) == ("1_to_5_min", "")
    words = body(pages.coordinator.signed_in().get(f"/sessions/{session.id}/"))
    assert "written by Tobias Quill, Sat 1 May 2027, 11:20; typed by Maren Oduya, Sat 1 May 2027, 10:00" in words


def test_two_people_and_three_bottles_make_two_sessions(pages, day, batch):
    other = pages.cast.other_volunteer.member.id
    tapped = {"number": "4", "back": "1/2", "is_signed": ""}
    third = first(pages, batch, who=other, number="5", back="empty")

    types(
        pages, day, first(pages, batch),
        {name.replace("row0", "row1"): value for name, value in first(pages, batch, **tapped).items()},
        {name.replace("row0", "row2"): value for name, value in third.items()},
    )  # fmt: skip

    assert sorted(Session.objects.values_list("applicator_id", flat=True)) == sorted(
        [pages.cast.volunteer.member.id, other]
    )
    assert list(Container.objects.order_by("number").values_list("back_value", "back_tap")) == [
        ("6", None), ("8", "1/2"), ("0", "empty"),
    ]  # fmt: skip
    assert Application.objects.count() == 3


def test_a_bottle_that_came_back_full_has_no_line(pages, day, batch):
    types(pages, day, first(pages, batch, back="full", species="", stems="", method="", unit="", longest_wait=""))

    assert (Container.objects.get().used_nl, Application.objects.count()) == (0, 0)


def test_a_sheet_that_is_handed_in_twice_is_recorded_once(pages, day, batch):
    mid = new_id()

    for _ in range(2):
        assert types(pages, day, first(pages, batch), mid=mid).status_code == 302

    assert (Session.objects.count(), Container.objects.count(), Application.objects.count()) == (1, 1, 1)


def test_more_rows_keep_what_was_typed_and_record_nothing(pages, day, batch):
    response = types(pages, day, first(pages, batch), more="1")

    html = response.content.decode()
    assert "row4-number" in html
    assert 'name="row0-filled" value="16"' in html
    assert "This was not recorded" not in body(response)
    assert Session.objects.count() == 0


@pytest.mark.parametrize(
    ("changes", "sheet", "sentence"),
    [
        ({"who": ""}, {}, "Please fill this in."),
        ({"number": ""}, {}, "Please fill this in."),
        ({"filled": "1,5"}, {}, "is not a number we can read"),
        ({"back": "17"}, {}, "17 US fluid ounces came back in bottle 3"),
        ({"back": "half"}, {}, "is not a number we can read"),
        ({"species": ""}, {}, "Please fill this in."),
        ({"stems": "some"}, {}, "Enter a whole number."),
        ({}, {"writer": ""}, "Please fill this in."),
        ({}, {"written": ""}, "Please fill this in."),
        ({}, {"ended": "09:00"}, "Check both times"),
        ({"filled": "70", "back": "0"}, {}, "More was taken than is left of this batch."),
    ],
    ids=str,
)
def test_a_sheet_that_cannot_be_is_refused_in_words_and_of_it_nothing_is_recorded(
    pages, day, batch, changes, sheet, sentence
):
    response = types(pages, day, first(pages, batch, **{"weather": "sleet"} | changes), **sheet)

    assert response.status_code in (400, 409)
    assert sentence in body(response)
    assert 'value="sleet"' in response.content.decode()
    assert (Session.objects.count(), Container.objects.count(), Application.objects.count()) == (0, 0, 0)


def test_an_empty_sheet_is_not_recorded(pages, day, batch):
    assert "Nothing is entered yet: type at least one row." in body(types(pages, day, row(0)))


def test_a_row_that_goes_on_with_a_bottle_names_no_other(pages, day, batch):
    more = row(1, number="4", species=pages.ground.species, stems="1", unit=pages.ground.unit, method="foliar")

    response = types(pages, day, first(pages, batch), more)

    assert "A row that begins another bottle says who carried it." in body(response)


def test_a_day_without_a_batch_says_how_to_begin(pages, day):
    words = body(pages.cast.volunteer.signed_in().get(f"/work-days/{day}/transcribe/"))

    assert "None is recorded on this day yet." in words
