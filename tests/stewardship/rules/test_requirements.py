"""Whether a record says what a rule asks: the unknown is neither yes nor no."""

from typing import get_args

import pytest

from stewardship.rules.requirements import (
    CONDITIONS,
    LOCATION_FORMS,
    WORDS,
    Condition,
    FieldName,
    LocationForm,
    Missing,
    Requirement,
    RequirementUnclear,
    is_post_box,
    is_told,
    lacking,
)

FORMS = tuple(LOCATION_FORMS)
SPRAYED_IN_CHANGING_WEATHER = Requirement(any_of=(("wind_changes",),), when=("was_sprayed", "weather_changed"))
EITHER = Requirement(any_of=(("mix_strength", "product_amount"), ("rate_per_area", "area_mm2")))


@pytest.mark.parametrize(
    ("words", "names"), [(WORDS, FieldName), (CONDITIONS, Condition), (LOCATION_FORMS, LocationForm)]
)
def test_each_name_of_a_closed_list_has_its_words(words, names):
    assert tuple(words) == get_args(names)
    assert all(words.values())


@pytest.mark.parametrize("value", [None, "", "  ", [], (), {}, ["Maren", ""], ["Maren", None], {"value": None}])
def test_what_is_absent_or_blank_is_not_told(value):
    assert not is_told({"applicators": value}, "applicators", FORMS)
    assert not is_told({}, "applicators", FORMS)


@pytest.mark.parametrize("value", [0, False, "0", ["Maren"], {"value": "0", "unit": "mph"}])
def test_nothing_and_no_are_told_as_well_as_anything_else(value):
    assert is_told({"wind_speed": value}, "wind_speed", FORMS)


# -- places ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "place", ["P.O. Box 12", "PO Box 12, Fenton", "p. o. box 12", "Post Office Box 12", "GPO Box 4001", " po  box 9"]
)
def test_a_post_office_box_is_no_place(place):
    assert is_post_box(place)
    assert not is_told({"location": {"address": place}}, "location", FORMS)


@pytest.mark.parametrize("place", ["12 Mill Road, P.O. Box 5", "Poe Boxwood Lane 3", "Post Oak Trail", "Boxelder Road"])
def test_a_street_address_is_a_place_also_with_a_box_behind_it(place):
    assert not is_post_box(place)
    assert is_told({"location": {"address": place}}, "location", FORMS)


def test_a_box_beside_coordinates_does_no_harm():
    told = {"location": {"address": "P.O. Box 12", "lat_long": "44.98, -93.27"}}

    assert is_told(told, "location", FORMS)


def test_a_place_counts_only_in_a_form_that_the_rule_takes():
    told = {"location": {"lat_long": "44.98, -93.27"}}

    assert is_told(told, "location", ("address", "lat_long"))
    assert not is_told(told, "location", ("address",))
    assert lacking(told, Requirement(any_of=(("location",),)), ("address",)) == Missing(
        "location", "where it was applied, as street address; a post-office box is no place"
    )


@pytest.mark.parametrize("location", ["12 Mill Road", ["12 Mill Road"], None, 7])
def test_a_place_that_does_not_say_its_form_is_not_told(location):
    assert not is_told({"location": location}, "location", FORMS)


# -- conditions and alternatives -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sprayed", "changed", "field"),
    [
        (True, True, "wind_changes"),
        (True, None, "weather_changed"),
        (None, True, "was_sprayed"),
        (None, None, "was_sprayed"),
        (False, None, None),
        (None, False, None),
        (False, True, None),
        ("no", True, "was_sprayed"),
    ],
)
def test_a_condition_that_is_not_answered_is_asked_for_and_never_taken_for_no(sprayed, changed, field):
    facts = {"was_sprayed": sprayed, "weather_changed": changed}

    found = lacking(facts, SPRAYED_IN_CHANGING_WEATHER, FORMS)

    assert (found and found.field) == field


def test_what_is_told_anyhow_needs_no_condition():
    assert lacking({"wind_changes": "calm after 11"}, SPRAYED_IN_CHANGING_WEATHER, FORMS) is None


@pytest.mark.parametrize("told", [("mix_strength", "product_amount"), ("rate_per_area", "area_mm2")])
def test_one_whole_set_of_several_is_enough(told):
    assert lacking(dict.fromkeys(told, "1"), EITHER, FORMS) is None


def test_halves_of_two_sets_are_not_and_the_words_say_what_would_complete_either():
    found = lacking({"product_amount": "1", "area_mm2": 1}, EITHER, FORMS)

    assert found == Missing("mix_strength", "the strength of the mix, or else the product used on a unit of area")


@pytest.mark.parametrize(
    ("values", "where"),
    [
        ({"any_of": ()}, "any_of"),
        ({"any_of": (("area_mm2",), ())}, "any_of"),
        ({"any_of": (("shoe_size",),)}, "any_of"),
        ({"any_of": (("area_mm2",),), "when": ("it_rained",)}, "when"),
    ],
)
def test_a_requirement_that_cannot_be_judged_is_refused(values, where):
    with pytest.raises(RequirementUnclear) as refused:
        Requirement(**values)

    assert (refused.value.code, refused.value.where) == ("requirement_unclear", where)
