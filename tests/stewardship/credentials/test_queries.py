"""Each member's standing on a date, for the coordinators."""

from datetime import date

from stewardship.credentials.queries import coverage
from tests.planning import licence


def test_coverage_tells_every_present_members_standing_on_the_date(cast):
    licence(cast.coordinator, cast.volunteer, "2027-06-30")
    licence(cast.coordinator, cast.other_volunteer, "2027-07-01")

    found = {
        m.display_name: {s.covers: s.status for s in held} for m, held in coverage(cast.group.id, date(2027, 7, 1))
    }

    assert {name: held["herbicide_application"] for name, held in found.items()} == {
        "Halvard Pim": "missing",
        "Ines Carrowby": "valid",
        "Maren Oduya": "missing",
        "Tobias Quill": "expired",
    }
    assert {held["saw"] for held in found.values()} == {"missing"}


def test_coverage_takes_three_statements_however_many_there_are(cast, django_assert_num_queries):
    for someone in (cast.volunteer, cast.other_volunteer, cast.coordinator):
        licence(cast.coordinator, someone, "2027-06-30")

    with django_assert_num_queries(3):
        coverage(cast.group.id, date(2027, 7, 1))
