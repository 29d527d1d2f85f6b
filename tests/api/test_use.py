"""GET use/summary: what may be asked, by whom, and what is answered."""

import pytest
from jsonschema import Draft202012Validator

from api import use
from stewardship.journal.models import Book
from stewardship.reports.sides import BY
from tests.api.asking import get
from tests.api.test_schema import DOCUMENT
from tests.cast import sent
from tests.ground import fl_oz, lay_out
from tests.stewardship.treatments.records import tank_mix

SCHEMA = DOCUMENT["paths"]["/api/v1/groups/{group}/use/summary"]["get"]
ANSWER = SCHEMA["responses"]["200"]["content"]["application/json"]["schema"]


@pytest.fixture
def ground(coordinator):
    return lay_out(coordinator)


@pytest.fixture
def two_properties(coordinator, ground):
    """64 fl oz at 20 %, 40 used: 25 on one property, 15 on another."""
    far = coordinator.does("property", "create", name="Far Field").record.id
    unit = coordinator.does("unit", "create", property=far, name="East").record.id
    batch = ground.batch()
    ground.line(ground.session(), batch, "25", stems=40)
    ground.line(ground.session(unit=unit), batch, "15")
    return ground


def asked(someone, **parameters):
    found = get(someone, "use/summary", **parameters)
    assert found.status_code == 200, found.content
    return found.json()


def problem(someone, **parameters):
    found = get(someone, "use/summary", **parameters)
    assert found.status_code == 400
    return found.json()


def test_forty_of_a_batch_on_two_properties_are_eight_ounces_of_product_and_a_quarter_pound(reviewer, two_properties):
    """The batch arithmetic of New York's rule: product in a place = product in the batch x share of it used there."""
    told = asked(reviewer, by="property")

    rows = {row["keys"]["property"]["name"]: row for row in told["results"]}
    assert {name: row["product"] for name, row in rows.items()} == {
        "Heron Bend": {"value": "5", "unit": "fl_oz"},
        "Far Field": {"value": "3", "unit": "fl_oz"},
    }
    assert told["totals"]["product"] == {"value": "8", "unit": "fl_oz"}
    assert told["totals"]["mix"] == {"value": "40", "unit": "fl_oz"}
    [active] = told["totals"]["active_ingredients"]
    assert active["ae"] == {"value": "0.25", "unit": "lb"}
    assert (active["name"], active["ae_unknown"], active["lines"]) == ("triclopyr", 0, 2)
    assert (rows["Heron Bend"]["stems"], rows["Far Field"]["stems"], told["totals"]["stems"]) == (40, None, 40)
    assert told["totals"]["stems_unknown"] == 1


def test_a_tank_mix_is_two_rows_of_product_and_one_mix(coordinator, ground):
    ground.line(ground.session(), ground.batch(**tank_mix(ground)), "40")

    split, whole = asked(coordinator, by="product"), asked(coordinator, by="month")

    assert [row["keys"]["product"]["name"] for row in split["results"]] == [
        "imazapyr 2 lb a.i./gal", "triclopyr ester 4 lb a.e./gal",
    ]  # fmt: skip
    assert [row["keys"]["product"]["registration_no"] for row in split["results"]] == ["99990-102", "99990-101"]
    assert [row["product"]["value"] for row in split["results"]] == ["2", "8"]
    assert [row["mix_nl"] for row in split["results"]] == [0, 0]
    assert [row["shared"]["mix"]["value"] for row in split["results"]] == ["40", "40"]
    assert split["shared"]["mix"]["value"] == split["totals"]["mix"]["value"] == "40"
    assert (split["shared"]["lines"], split["totals"]["lines"]) == (1, 1)
    [row] = whole["results"]
    assert (row["mix"]["value"], row["product"]["value"], row["shared"]["lines"]) == ("40", "10", 0)
    assert row["keys"]["month"] == {"id": "2027-05", "name": "2027-05"}
    assert [each["name"] for each in row["active_ingredients"]] == ["imazapyr", "triclopyr"]
    assert [each["ae_ug"] is None for each in row["active_ingredients"]] == [True, False]


@pytest.mark.parametrize("by", [None, *BY, ",".join(BY)])
def test_an_answer_is_what_the_document_describes_and_nothing_else(coordinator, two_properties, by):
    told = asked(coordinator, **({"by": by} if by else {}))

    validator = Draft202012Validator(ANSWER | {"components": DOCUMENT["components"]})
    assert [error.message for error in validator.iter_errors(told)] == []
    described = ANSWER["properties"]
    assert told.keys() == described.keys()
    assert told["totals"].keys() <= described["totals"]["properties"].keys()
    assert told["shared"].keys() <= described["shared"]["properties"].keys()
    for row in told["results"]:
        assert row.keys() <= described["results"]["items"]["properties"].keys()
        assert list(row["keys"]) == by.split(",")


def test_the_document_says_what_is_summed_when():
    row = ANSWER["properties"]["results"]["items"]["properties"]

    assert "each line once" in row["mix_nl"]["description"]
    assert "other rows too" in row["shared"]["description"]
    assert "never added up" in row["active_ingredients"]["description"]
    assert "results + shared = totals" in ANSWER["properties"]["shared"]["description"]


@pytest.mark.parametrize("by", ["weather", "property,weather", "property,property", "property,", ",", "Property"])
def test_an_unknown_side_is_refused_with_those_there_are(coordinator, by):
    told = problem(coordinator, by=by)

    assert told["code"] == "by_unknown"
    assert told["where"] == "by"
    for side in BY:
        assert side in told["detail"]


@pytest.mark.parametrize(
    ("parameters", "code", "pointer"),
    [
        ({"weather": "fair"}, "filter_unknown", "/weather"),
        ({"month": "2027-05"}, "filter_unknown", "/month"),
        ({"by": ""}, "filter_invalid", "/by"),
        ({"by": ["unit", "month"]}, "filter_invalid", "/by"),
        ({"from": "yesterday"}, "filter_invalid", "/from"),
        ({"to": "2027-02-30"}, "filter_invalid", "/to"),
        ({"from": "2027-05-02", "to": "2027-05-01"}, "filter_invalid", "/to"),
        ({"property": "north"}, "filter_invalid", "/property"),
        ({"method": "pulling"}, "filter_invalid", "/method"),
        ({"species": "' OR 1=1"}, "filter_invalid", "/species"),
    ],
)
def test_what_cannot_be_meant_is_refused_and_named(coordinator, parameters, code, pointer):
    told = problem(coordinator, **parameters)

    assert told["code"] == code
    assert [error["pointer"] for error in told["errors"]] == [pointer]


def test_dates_and_filters_are_taken_together(coordinator, two_properties):
    here = {"property": str(two_properties.property), "from": "2027-05-01", "to": "2027-05-01"}

    assert asked(coordinator, **here)["totals"]["mix"]["value"] == "25"
    assert asked(coordinator, **here, method="foliar")["totals"]["lines"] == 0
    assert asked(coordinator, **here | {"from": "2027-05-02", "to": "2027-05-02"})["totals"]["lines"] == 0
    assert (asked(coordinator, **here)["from"], asked(coordinator)["from"]) == ("2027-05-01", None)


def test_an_id_of_another_group_finds_nothing(stranger, two_properties):
    told = asked(stranger, property=str(two_properties.property), by="property")

    assert (told["results"], told["totals"]["lines"]) == ([], 0)


def test_what_waits_for_a_person_is_counted_apart(coordinator, volunteer, two_properties):
    session, batch = two_properties.session(), two_properties.batch()
    more = {"session": str(session), "batch": str(batch), "species": str(two_properties.species)}
    taken = volunteer.pushes(
        sent("application", "create", more | {"method": "foliar", "mix": fl_oz("70"), "how_known": "measured"})
    )
    assert [result["outcome"] for result in taken.results] == ["held"]

    told = asked(coordinator)

    assert (told["held"], told["totals"]["lines"]) == (1, 2)
    assert told["head"] == Book.objects.get(group_id=coordinator.group_id).head


def test_more_rows_than_anybody_reads_are_refused_with_what_to_do(coordinator, two_properties, monkeypatch):
    monkeypatch.setattr(use, "MOST_ROWS", 1)

    told = problem(coordinator, by="unit")

    assert told["code"] == "too_many_rows"
    assert "fewer dates" in told["detail"]
    assert len(asked(coordinator, by="month")["results"]) == 1


def test_every_parameter_is_in_the_document():
    described = {each["name"] for each in SCHEMA["parameters"] if each["in"] == "query"}

    assert described == {"by", "from", "to", *BY} - {"month"}
