"""A record as it is answered: amounts in the group's own units beside those that were entered."""

import pytest

from api.answers import answer, shown, told, with_numbers
from stewardship.accounts.models import Group
from tests.api.asking import get, post
from tests.planning import licence

METRIC = Group(volume_unit="ml", mass_unit="g", area_unit="ha")


def test_an_amount_is_repeated_as_entered_and_shown_in_the_groups_unit():
    entered = {"mix": {"value": "1", "unit": "gal", "nl": 3_785_411_784}}

    # NIST Handbook 44, Appendix C: a US gallon is 231 cubic inches, 3,785.411784 mL; four digits are shown.
    assert told(entered, METRIC) == {"mix": entered["mix"] | {"shown": {"value": "3785", "unit": "ml"}}}


def test_an_amount_that_follows_from_others_is_shown_under_its_own_name():
    # International acre of 43,560 square feet of 0.3048 m: 4,046.8564224 m2 (NIST Handbook 44, Appendix C).
    assert told({"area_mm2": 4_046_856_422}, METRIC) == {
        "area_mm2": 4_046_856_422,
        "area": {"value": "0.4047", "unit": "ha"},
    }


def test_what_is_unknown_stays_unknown():
    assert told({"area_mm2": None, "mix": None}, METRIC) == {"area_mm2": None, "mix": None}


def test_a_name_that_is_taken_is_not_taken_twice():
    said = {"used": "x", "used_nl": 5}

    assert told(said, METRIC) == said


@pytest.mark.parametrize(("base", "unit"), [("nl", "ml"), ("ug", "g"), ("mm2", "ha")])
def test_each_kind_of_amount_has_a_unit_of_the_group(base, unit):
    assert shown(0, base, METRIC) == {"value": "0", "unit": unit}


def test_other_groups_of_fields_are_left_as_they_are():
    assert with_numbers({"type": "Note", "coordinates": "x"}) == {"type": "Note", "coordinates": "x"}


def test_what_is_for_one_person_is_not_there_for_another(coordinator, volunteer, other_volunteer):
    id = licence(coordinator, volunteer, "2027-12-31")

    seen = {
        who: (
            get(someone, f"credentials/{id}").status_code,
            get(someone, f"credentials/{id}/history").status_code,
            len(get(someone, "credentials").json()["results"]),
        )
        for who, someone in (("own", volunteer), ("all", coordinator), ("other", other_volunteer))
    }

    assert seen == {"own": (200, 200, 1), "all": (200, 200, 1), "other": (404, 404, 0)}


def test_what_is_flagged_is_answered_as_warnings(coordinator, volunteer, cast):
    """A session without any licence is a fact: recorded, and marked."""
    land = post(coordinator, "properties", {"name": "Heron Bend"}).json()["id"]
    unit = post(coordinator, f"properties/{land}/units", {"name": "North"}).json()["id"]
    fields = {"unit": unit, "applicator": volunteer.member.id, "started_at": "2027-05-01T09:00:00-05:00"}

    done = volunteer.does("session", "create", **fields)

    answered = answer(done.record, cast.group)
    assert answered["warnings"] == done.result["warnings"] != []
    assert "marks" not in answered
