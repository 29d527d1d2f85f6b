"""Lines that are probably slips, and lines of the same work by two people: marked, both kept, nothing refused."""

import pytest

from stewardship.treatments.models import Application, Batch
from stewardship.treatments.services.screening import CODES, LATEST
from tests.cast import sent
from tests.ground import fl_oz

pytestmark = pytest.mark.django_db


def slips(record):
    """Return the marks about what was entered: the applicator here has no credential, and is marked for that."""
    return [mark for mark in record.marks if mark["code"] in CODES | {"product_is_whole_mix"}]


def codes(record):
    return [mark["code"] for mark in slips(record)]


def stored(line):
    return Application.objects.get(id=line.id)


@pytest.fixture
def season(ground):
    """Record five lines of about 12 fl oz on a batch large enough for a slip."""
    batch = ground.batch(mix={"value": "32", "unit": "gal"}, parts=[{"product": str(ground.product), "volume": GALLON}])
    session = ground.session()
    for ounces in ("11", "12", "12.8", "13", "14"):
        assert codes(ground.line(session, batch, ounces)) == []
    return session, batch


GALLON = {"value": "1", "unit": "gal"}

# -- outliers ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "unit", "code"),
    [
        ("12.8", "gal", "hundredfold_above_usual"),
        ("128", "fl_oz", "tenfold_above_usual"),
        ("1.27", "fl_oz", "tenfold_below_usual"),
        ("0.127", "fl_oz", "hundredfold_below_usual"),
    ],
)
def test_12_8_gal_instead_of_fl_oz_is_flagged_and_so_is_a_slip_of_the_point(ground, season, value, unit, code):
    line = ground.line(*season, "1", mix={"value": value, "unit": unit})

    (mark,) = slips(stored(line))
    assert (mark["code"], mark["field"]) == (code, "mix")
    assert f"{value} {unit} is" in mark["detail"]
    assert mark["source"] == "the median of 5 earlier like lines"


def test_the_unit_that_makes_the_number_usual_is_offered(ground, season):
    line = ground.line(*season, "1", mix={"value": "12.8", "unit": "gal"})

    assert "Was it 12.8 fl_oz?" in slips(line)[0]["detail"]


@pytest.mark.parametrize("ounces", ["127", "1.3"])
def test_less_than_tenfold_is_no_slip(ground, season, ounces):
    assert codes(ground.line(*season, ounces)) == []


def test_another_method_has_a_history_of_its_own(ground, season):
    assert codes(ground.line(*season, "128", method="cut_stump")) == []


def test_fewer_than_five_earlier_lines_say_nothing_of_what_is_usual(ground, season):
    first = Application.objects.filter(batch=season[1]).first()
    ground.coordinator.does("application", "void", id=first.id, reason="misread")

    assert codes(ground.line(*season, "128")) == []


def test_a_correction_is_screened_again_and_a_slip_that_was_corrected_is_marked_no_more(ground, season):
    line = ground.line(*season, "128")
    assert codes(line) == ["tenfold_above_usual"]

    by = ground.coordinator
    by.does("application", "amend", id=line.id, reason="a slip of the point", mix=fl_oz("12.8"))
    assert slips(stored(line)) == []

    by.does("application", "amend", id=line.id, reason="tried again", mix=fl_oz("1.2"))
    (mark,) = slips(stored(line))
    assert (mark["code"], mark["source"]) == ("tenfold_below_usual", "the median of 5 earlier like lines")


def test_a_correction_of_something_else_leaves_the_marks_as_they_were(ground, season):
    line = ground.line(*season, "128")

    ground.coordinator.does("application", "amend", id=line.id, reason="counted", stems=4000, note="a thicket")

    assert codes(stored(line)) == ["tenfold_above_usual"]


def test_a_session_that_is_corrected_leaves_what_was_marked_about_its_lines(ground, season):
    line = ground.line(*season, "128")

    moved = {"started_at": "2027-05-01T08:00:00-05:00", "applicator": str(ground.coordinator.member.id)}
    ground.coordinator.does("session", "amend", id=season[0], reason="began at eight", **moved)
    assert codes(stored(line)) == ["tenfold_above_usual"]

    ground.coordinator.does(
        "session", "amend", id=season[0], reason="a day earlier", started_at="2027-04-30T09:30:00-05:00"
    )
    assert codes(stored(line)) == ["tenfold_above_usual"]


def test_only_the_latest_lines_say_what_is_usual(ground, season):
    session, batch = season
    told = {"session": str(session), "batch": str(batch), "species": str(ground.species), "how_known": "measured"}
    others = [
        sent("application", "create", told | {"method": "cut_stump", "mix": fl_oz("1")}) for _ in range(LATEST - 4)
    ]
    ground.coordinator.pushes(*others)

    assert codes(ground.line(session, batch, "128")) == []


def test_lines_of_one_push_are_not_each_other_s_history(ground):
    batch, session = ground.batch(), ground.session()
    told = {"session": str(session), "batch": str(batch), "species": str(ground.species), "method": "basal_bark"}
    told |= {"how_known": "measured"}
    sheet = [sent("application", "create", told | {"mix": fl_oz(ounces)}) for ounces in ["0.5"] * 6 + ["20"]]

    taken = ground.coordinator.pushes(*sheet)

    assert {mark["code"] for result in taken.results for mark in result["warnings"]} == {"credential_missing"}
    assert codes(ground.line(session, batch, "20")) == ["tenfold_above_usual"]


# -- the same work twice -------------------------------------------------------------------------


@pytest.fixture
def twice(ground, volunteer):
    """Let the coordinator record 15 fl oz of a batch, in a session of the volunteer's."""
    batch, session = ground.batch(), ground.session(volunteer)
    return batch, session, ground.line(session, batch, "15")


def test_a_like_line_by_another_person_is_marked_and_names_the_other_and_its_author(ground, volunteer, twice):
    batch, session, first = twice

    second = stored(ground.line(session, batch, "14", volunteer))

    (mark,) = slips(second)
    assert (mark["code"], mark["field"]) == ("possible_duplicate", "mix")
    assert mark["detail"].startswith("Somebody else recorded 15 fl_oz of this batch for the same day")
    assert mark["source"] == f"application {first.id}, entered by {ground.coordinator.person.id}"


def test_both_are_kept_as_they_are_and_nothing_is_merged(ground, volunteer, twice):
    batch, session, first = twice

    ground.line(session, batch, "15", volunteer)

    assert slips(stored(first)) == []
    assert Batch.objects.get(id=batch).used_nl == 2 * first.mix_nl


@pytest.mark.parametrize(
    "differs",
    [{"ounces": "13.4"}, {"ounces": "16.7"}, {"method": "cut_stump"}, {"unit": "other_unit"}],
    ids=lambda differs: "-".join(map(str, differs.items())),
)
def test_what_differs_is_other_work(ground, volunteer, twice, differs):
    batch, session, _ = twice
    told = {"ounces": "15"} | differs
    if "unit" in told:
        told["unit"] = ground.other_unit

    line = ground.line(session, batch, told.pop("ounces"), volunteer, **told)

    assert codes(line) == []


def test_what_differs_in_day_or_batch_is_other_work(ground, volunteer, twice):
    batch, session, _ = twice
    next_day = ground.session(volunteer, started_at="2027-05-02T09:30:00-05:00")

    assert codes(ground.line(next_day, batch, "15", volunteer)) == []
    assert codes(ground.line(session, ground.batch(), "15", volunteer)) == []


def test_one_s_own_second_line_is_a_second_line(ground, twice):
    batch, session, _ = twice

    assert codes(ground.line(session, batch, "15")) == []


def test_a_voided_line_is_nobody_s_work(ground, volunteer, twice):
    batch, session, first = twice
    ground.coordinator.does("application", "void", id=first.id, reason="in another's total")

    assert codes(ground.line(session, batch, "15", volunteer)) == []


def test_a_line_becomes_alike_by_a_correction_and_no_longer_by_the_next(ground, volunteer, twice):
    batch, session, first = twice
    second = ground.line(session, batch, "5", volunteer)
    assert codes(second) == []

    ground.coordinator.does("application", "amend", id=second.id, reason="misread", mix=fl_oz("15"))
    (mark,) = slips(stored(second))
    assert mark["source"] == f"application {first.id}, entered by {ground.coordinator.person.id}"

    volunteer.does("application", "amend", id=second.id, reason="misread", method="cut_stump")
    assert slips(stored(second)) == []


def test_a_push_of_many_people_s_lines_compares_each_with_those_of_the_others(
    ground, volunteer, other_volunteer, twice
):
    batch, session, first = twice
    second = ground.line(session, batch, "5", volunteer)
    third = ground.line(session, batch, "1", other_volunteer)
    amends = [
        sent("application", "amend", {"mix": fl_oz("15")}, id=line.id, reason="misread") for line in (second, third)
    ]

    results = ground.coordinator.pushes(*amends).results

    found = [mark for result in results for mark in result["warnings"] if mark["code"] in CODES]
    assert [mark["code"] for mark in found] == ["possible_duplicate"] * 2
    assert all(str(first.id) in mark["source"] for mark in found)


# -- a mix entered as product --------------------------------------------------------------------


def test_a_whole_mix_entered_as_product_is_marked_where_it_was_diluted(ground):
    whole = [{"product": str(ground.product), "volume": fl_oz("64")}]

    batch = Batch.objects.get(id=ground.batch(parts=whole))

    (mark,) = slips(batch)
    assert (mark["code"], mark["field"]) == ("product_is_whole_mix", "parts")
    assert mark["detail"].startswith("The product, 64 fl_oz, is as much as the whole mix.")
    assert "New York" in mark["source"]


def test_a_mix_without_a_carrier_is_all_product(ground):
    whole = [{"product": str(ground.product), "volume": fl_oz("64")}]

    assert codes(Batch.objects.get(id=ground.batch(parts=whole, carrier="none"))) == []


def test_the_mark_goes_when_the_amount_is_corrected(ground):
    id = ground.batch(parts=[{"product": str(ground.product), "volume": fl_oz("64")}])

    parts = [{"product": str(ground.product), "volume": fl_oz("12.8")}]
    ground.coordinator.does("batch", "amend", id=id, reason="that was the mix", parts=parts)

    assert slips(Batch.objects.get(id=id)) == []
