"""The roster of trainings for an authority: every field, every gap by name, no cell taken for a formula."""

import csv
import io
from datetime import date

import pytest

from stewardship.credentials.roster import COLUMNS, NOT_ON_RECORD, gaps, roster
from tests.api.asking import get
from tests.trainings import product, rule, trains

DAYS = {"from": "2026-01-01", "to": "2026-12-31"}
FULL = {
    "trainer_licence_number": "ROW-118", "trainer_licence_ends_on": "2026-12-31", "sponsor": "County Forest District",
    "place": "Shed at Heron Bend", "label_copies": True,
}  # fmt: skip


def told_of(cast, someone, **values):
    told = {"address": "4 Mill Lane, Tamarack", "phone": "555 0142", "born_on": "1961-03-02"} | values
    cast.coordinator.does("personal_details", "create", member=someone.member.id, **told)


def rows_of(answer):
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))


@pytest.fixture
def trained(cast):
    """Train two volunteers on two products and a land; of the second no address is on record."""
    type = rule(cast.coordinator, name="County rule")
    land = cast.coordinator.does("property", "create", name="Heron Bend").record
    more = FULL | {"products": [product(cast.coordinator)], "properties": [str(land.id)]}
    told_of(cast, cast.volunteer)
    told_of(cast, cast.other_volunteer, address="")
    for someone in (cast.volunteer, cast.other_volunteer):
        trains(cast.coordinator, someone, type, **more)
    return cast


def test_the_roster_has_every_field_of_the_published_list(trained):
    """Hold it against the list of Special licensing, pbooks.org (Illinois extension texts).

    Name, address, phone, birth date, sponsor; date, place, trainer's licence number and its expiry, label copies.
    """
    answer = get(trained.coordinator, "trainings/roster", format="csv", **DAYS)

    (row,) = [row for row in rows_of(answer) if row["Name"] == "Tobias Quill"]
    assert row == {
        "Name": "Tobias Quill", "Address": "4 Mill Lane, Tamarack", "Telephone": "555 0142",
        "Birth date": "1961-03-02", "Sponsor": "County Forest District", "Date of training": "2026-07-01",
        "Place of training": "Shed at Heron Bend", "Trainer": "Maren Oduya", "Trainer's licence number": "ROW-118",
        "Trainer's licence ends on": "2026-12-31", "Copies of labels": "yes", "Training": "Basal bark with volunteers",
        "Content": "", "Minutes": "90", "Products": "Ester in oil, 4 lb a.e./gal", "Lands": "Heron Bend",
        "Methods": "", "Counts up to": "2027-07-01", "Signed on": "2027-05-01", "Rule": "County rule", "Gaps": "none",
    }  # fmt: skip
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert answer["Content-Disposition"] == 'attachment; filename="trainings-2026-01-01-2026-12-31.csv"'


def test_one_volunteer_without_an_address_is_listed_as_a_gap_and_never_left_blank(trained):
    (row,) = [
        row
        for row in rows_of(get(trained.coordinator, "trainings/roster", format="csv", **DAYS))
        if row["Name"] == "Ines Carrowby"
    ]
    told = get(trained.coordinator, "trainings/roster", **DAYS).json()["results"]

    assert (row["Address"], row["Gaps"]) == (NOT_ON_RECORD, "Address")
    assert {each["name"]: each["gaps"] for each in told} == {"Tobias Quill": [], "Ines Carrowby": ["address"]}


def test_nothing_on_record_about_somebody_is_as_many_gaps(cast):
    trains(cast.coordinator, cast.volunteer, rule(cast.coordinator), signed=False)

    (row,) = roster(cast.group, date(2026, 1, 1), date(2026, 12, 31))

    assert gaps(row) == [
        "address", "phone", "born_on", "sponsor", "place", "trainer_licence_number", "trainer_licence_ends_on",
        "label_copies", "products", "properties", "signed_on",
    ]  # fmt: skip


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "  ="])
def test_no_cell_is_taken_for_a_formula(cast, start):
    """OWASP, CSV Injection: cells that begin with = + - @ tab or carriage return."""
    told_of(cast, cast.volunteer, phone=f"{start}1 555 0142")
    trains(cast.coordinator, cast.volunteer, rule(cast.coordinator), topics=f"{start}HYPERLINK(1)")

    (row,) = rows_of(get(cast.coordinator, "trainings/roster", format="csv", **DAYS))

    for cell in (row["Telephone"], row["Content"]):
        assert cell.startswith("'") or not cell.strip(" ").startswith(("=", "+", "-", "@", "\t"))
    assert row["Content"] == f"'{start}HYPERLINK(1)"


def test_a_roster_takes_as_many_statements_for_one_as_for_many(trained, django_assert_num_queries):
    for _ in range(3):
        trains(trained.coordinator, trained.volunteer, rule(trained.coordinator), on_date="2026-08-01")

    with django_assert_num_queries(4):
        rows = roster(trained.group, date(2026, 1, 1), date(2026, 12, 31))

    assert len(rows) == 5
    assert all(row.keys() == COLUMNS.keys() for row in rows)


def test_only_the_days_that_are_asked_for_and_no_voided_training(trained):
    assert (
        get(trained.coordinator, "trainings/roster", **{"from": "2026-07-02", "to": "2026-12-31"}).json()["results"]
        == []
    )
    for training in get(trained.coordinator, "trainings").json()["results"]:
        trained.coordinator.does("training", "void", id=training["id"], reason="entered twice")
    assert get(trained.coordinator, "trainings/roster", **DAYS).json()["results"] == []
    assert get(trained.coordinator, "trainings/roster", **{"from": "2026-07-02"}).json()["code"] == "filter_invalid"
