"""The emergency sheet of a property comes with the pull, for every member: it is read where there is no signal."""

import orjson
import pytest

from stewardship.sync.pull import pull
from stewardship.sync.reference import load_reference
from tests.cast import AT
from tests.planning import Plan

pytestmark = pytest.mark.django_db

SHEET = {
    "address": "Heron Bend trailhead, 14 Fen Road",
    "access": "Gate code 4471; the track is wet after rain.",
    "coordinates": {"latitude": "42.1031", "longitude": "-88.2214"},
    "meeting_point": "Where the track meets Fen Road",
    "phone_coverage": "None below the levee; two bars at the trailhead.",
    "hospital": "County Hospital",
    "hospital_phone": "555 0140",
    "hospital_distance": "9 miles, 15 minutes",
    "contacts": [{"name": "Land office", "phone": "555 0141", "what_for": "gates"}],
}


def pulled(someone, kind):
    lines = pull(None, actor=someone.actor, server_time="now").splitlines()
    return [each["d"] for each in map(orjson.loads, lines) if each["k"] == "put" and each["t"] == kind]


def test_the_sheet_and_the_numbers_to_call_come_with_everybodys_copy(cast):
    load_reference(cast.group.id, at=AT)
    plan = Plan(cast.coordinator)
    cast.coordinator.does("emergency_sheet", "create", property=plan.property, **SHEET)

    for someone in (cast.volunteer, cast.reviewer, cast.coordinator):
        (sheet,) = pulled(someone, "emergency_sheet")
        assert (sheet["hospital"], sheet["property"]) == ("County Hospital", str(plan.property))
        assert (sheet["latitude"], sheet["contacts"][0]["phone"]) == ("42.1031", "555 0141")
        numbers = {p["subject"]: p["value"] for p in pulled(someone, "practice") if p["what"] == "emergency_number"}
        # Recordkeeping manual, USDA, OMB 0581-0164.
        assert numbers == {"poison_centre": "1-800-222-1222", "spill": "1-800-424-9300"}


def test_emergency_contacts_come_with_ones_own_copy_and_the_coordinators_alone(cast):
    cast.volunteer.does("emergency_contact", "create", name="Odile Fenn", phone="555 0102")

    assert [len(pulled(who, "emergency_contact")) for who in (cast.volunteer, cast.coordinator)] == [1, 1]
    assert [len(pulled(who, "emergency_contact")) for who in (cast.other_volunteer, cast.reviewer)] == [0, 0]
