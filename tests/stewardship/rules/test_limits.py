"""Readings against the stored limits that the published notes stand for, and both edges of each comparison."""

import json
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from stewardship.rules.limits import (
    GRAVEST_FIRST,
    WAITS,
    WORDS,
    both_at_once,
    compare,
    compare_rain,
    compare_wait,
    gravest,
    judges,
)
from stewardship.rules.methods import HERBICIDE_METHODS, MANUAL_METHODS
from stewardship.rules.refusals import RuleViolation
from stewardship.rules.units import UNITS, to_base

REFERENCE = Path(__file__).resolve().parents[3] / "fixtures" / "reference" / "limits.json"
STORED = {row["reference_key"]: row for row in json.loads(REFERENCE.read_text(encoding="utf-8"))["rows"]}
SECONDS = {"s": 1, "min": 60, "h": 3600}


def place(reading: str, key: str) -> str:
    """Compare a reading in the limit's own unit with a stored limit, both as whole base units."""
    limit = STORED[key]
    dimension = UNITS[limit["unit"]].dimension
    value, low, high = (
        to_base(text, limit["unit"], dimension) if text else None for text in (reading, limit["low"], limit["high"])
    )
    return compare(value, low=low, high=high)


def wait_limit_s(key: str) -> Fraction:
    return Fraction(STORED[key]["high"]) * SECONDS[STORED[key]["unit"]]


@pytest.mark.parametrize(
    ("check", "key", "reading", "position"),
    [
        ("E01", "wind-us-3-10-mph", "12", "above"),
        ("E01", "wind-us-3-10-mph", "10.1", "above"),
        ("E01", "wind-us-3-10-mph", "10", "within"),
        ("E01", "wind-us-3-10-mph", "3", "within"),
        ("E01", "wind-us-3-10-mph", "2.9", "below"),
        ("E02", "wind-low-3-mph", "2.9", "below"),
        ("E02", "wind-low-3-mph", "30", "within"),
        ("E03", "wind-wa-summer-10-mph", "10.1", "above"),
        ("E03", "wind-wa-12-mph", "12", "within"),
        ("E03", "wind-wa-12-mph", "12.1", "above"),
        ("E04", "wind-ontario-2-15-km-h", "15", "within"),
        ("E04", "wind-ontario-2-15-km-h", "1.9", "below"),
        ("E19", "basal-bark-temperature", "19.9", "below"),
        ("E19", "basal-bark-temperature", "20", "within"),
        ("E19", "basal-bark-temperature", "90", "within"),
        ("E19", "basal-bark-temperature", "90.1", "above"),
    ],
)
def test_a_reading_lies_where_the_published_limit_puts_it(check, key, reading, position):
    assert place(reading, key) == position


def test_the_limits_in_two_units_of_speed_meet_where_ontario_does():
    km_h = to_base("15", "km_h", UNITS["km_h"].dimension)

    assert round(km_h / UNITS["mph"].per_unit, 2) == Fraction("9.32")


def test_twelve_miles_an_hour_is_over_a_foliar_limit_and_judges_no_daub():
    winds = [row for row in STORED.values() if row["what"] == "wind"]

    def standing(method):
        judging = [row for row in winds if judges("wind", limit_method=row.get("method", ""), method=method)]
        return gravest(place("12", row["reference_key"]) for row in judging)

    assert len(winds) >= 6
    assert standing("foliar") == "above"
    assert {standing(method) for method in HERBICIDE_METHODS if method != "foliar"} == {"no_limit"}


@pytest.mark.parametrize("what", ["wind", "hot_and_dry", "delta_t"])
def test_a_limit_of_drops_in_the_air_that_names_no_method_judges_sprays_alone(what):
    judged = {method for method in HERBICIDE_METHODS if judges(what, limit_method="", method=method)}

    assert judged == {"foliar", "basal_bark"}


def test_any_other_limit_that_names_no_method_judges_all_work_with_herbicide():
    judged = {m for m in HERBICIDE_METHODS + MANUAL_METHODS if judges("temperature", limit_method="", method=m)}

    assert judged == set(HERBICIDE_METHODS)


@pytest.mark.parametrize("what", ["wind", "strength"])
def test_a_limit_for_one_method_judges_no_other(what):
    judged = [method for method in HERBICIDE_METHODS if judges(what, limit_method="cut_stump", method=method)]

    assert judged == ["cut_stump"]
    assert not judges(what, limit_method="pulling", method="pulling")


@pytest.mark.parametrize(
    ("value", "low", "high", "position"),
    [
        (None, 1, 2, "unknown"),
        (1, 1, 2, "within"),
        (2, 1, 2, "within"),
        (Fraction(999, 1000), 1, 2, "below"),
        (Fraction(2001, 1000), 1, 2, "above"),
        (-5, None, 2, "within"),
        (3, None, 2, "above"),
        (0, 0, None, "within"),
        (-1, 0, None, "below"),
        (10**9, 0, None, "within"),
        (Decimal("7.99"), 2, 8, "within"),
        (Decimal("8.01"), 2, 8, "above"),
        (5, 5, 5, "within"),
        (0, None, 0, "within"),
        (1, None, 0, "above"),
    ],
)
def test_a_value_is_below_within_or_above_and_never_known_from_nothing(value, low, high, position):
    assert compare(value, low=low, high=high) == position


@pytest.mark.parametrize(("low", "high", "code"), [(None, None, "limit_missing"), (3, 2, "limit_upside_down")])
@pytest.mark.parametrize("value", [1, None])
def test_a_limit_that_limits_nothing_is_refused(value, low, high, code):
    with pytest.raises(RuleViolation) as refusal:
        compare(value, low=low, high=high)

    assert refusal.value.code == code


def test_a_float_is_compared_with_nothing():
    with pytest.raises(TypeError):
        compare(0.1, low=None, high=1)


def test_the_gravest_position_is_told_and_an_unknown_is_never_within():
    assert gravest(["within", "unknown"]) == "unknown"
    assert gravest(["unknown", "may_be_above"]) == "may_be_above"
    assert gravest(["may_be_above", "below"]) == "below"
    assert gravest(["below", "above", "within"]) == "above"
    assert gravest(["within", "within"]) == "within"
    assert gravest([]) == "no_limit"


def test_every_standing_has_its_words_and_none_is_a_permission():
    assert set(WORDS) == {*GRAVEST_FIRST, "no_limit"}
    assert WORDS["above"] == "over a stored limit"
    assert WORDS["within"] == "no stored limit exceeded; read the label"
    assert WORDS["may_be_above"] == "may be over a stored limit"
    words = " ".join(WORDS.values()).split()
    assert not {"allowed", "go", "safe", "ok", "fine"} & set(words)


@pytest.mark.parametrize(
    ("air_c", "humidity", "position"),
    [
        ("25.1", 39, "above"),
        ("25", 39, "within"),
        ("25.1", 40, "within"),
        ("25.1", None, "unknown"),
        ("", 39, "unknown"),
        ("25", None, "within"),
        ("", None, "unknown"),
    ],
)
def test_hot_and_dry_counts_only_together_as_ontario_says(air_c, humidity, position):
    dry_limit = STORED["ontario-hot-and-dry-humidity"]

    hot = place(air_c, "ontario-hot-and-dry-temperature")
    dry = compare(humidity, low=int(dry_limit["low"]), high=None)

    assert both_at_once(hot, dry) == both_at_once(dry, hot) == position


@pytest.mark.parametrize(
    ("key", "positions"),
    [
        ("cut-stump-30-s", ["may_be_above", "above", "above", "above", "above"]),
        ("cut-stump-water-1-min", ["within", "above", "above", "above", "above"]),
        ("cut-stump-ester-60-min", ["within", "within", "within", "within", "above"]),
        ("cut-stump-water-2-h", ["within", "within", "within", "within", "may_be_above"]),
        ("cut-stump-24-h", ["within", "within", "within", "within", "may_be_above"]),
        ("cut-stump-ester-24-h", ["within", "within", "within", "within", "may_be_above"]),
    ],
)
def test_the_longest_wait_is_compared_by_its_class_with_limits_that_disagree(key, positions):
    assert [compare_wait(wait, limit_s=wait_limit_s(key)) for wait in WAITS] == positions
    assert compare_wait(None, limit_s=wait_limit_s(key)) == "unknown"


def test_a_limit_inside_a_class_may_be_exceeded_and_at_its_edges_it_is_or_is_not():
    assert compare_wait("5_to_15_min", limit_s=299) == "above"
    assert compare_wait("5_to_15_min", limit_s=300) == "above"
    assert compare_wait("5_to_15_min", limit_s=301) == "may_be_above"
    assert compare_wait("5_to_15_min", limit_s=899) == "may_be_above"
    assert compare_wait("5_to_15_min", limit_s=900) == "within"


def test_the_classes_of_waits_follow_one_another_without_a_gap():
    waits = list(WAITS.values())

    assert [(wait.from_s, wait.under_s) for wait in waits] == [
        (0, 60),
        (60, 300),
        (300, 900),
        (900, 3600),
        (3600, None),
    ]


@pytest.mark.parametrize("limit", [0, -1, None])
def test_a_wait_without_a_limit_is_compared_with_nothing(limit):
    with pytest.raises(RuleViolation) as refusal:
        compare_wait("under_1_min", limit_s=limit)

    assert refusal.value.code == "limit_missing"


def test_a_wait_that_is_no_class_is_refused_with_the_classes():
    with pytest.raises(RuleViolation, match="less than 1 minute, 1 to less than 5 minutes") as refusal:
        compare_wait("10 min", limit_s=60)

    assert (refusal.value.code, refusal.value.where) == ("wait_class_unknown", "longest_wait")


@pytest.mark.parametrize(
    ("first_rain", "dry", "position"),
    [
        ("1.5", None, "below"),
        ("3.999", "9", "below"),
        ("4", None, "within"),
        ("0", None, "below"),
        (None, "4", "within"),
        (None, "3.9", "unknown"),
        (None, None, "unknown"),
    ],
)
def test_rain_before_the_rainfast_hours_is_too_soon_and_dry_so_far_is_not_known(first_rain, dry, position):
    hours = Fraction(STORED["rain-water-4-h"]["low"])
    rain_h, dry_h = (None if text is None else Fraction(text) for text in (first_rain, dry))

    assert compare_rain(first_rain_h=rain_h, dry_h=dry_h, rainfast_h=hours) == position


@pytest.mark.parametrize("hours", [{"first_rain_h": -1}, {"first_rain_h": None, "dry_h": -1}])
def test_rain_before_the_treatment_is_refused(hours):
    with pytest.raises(RuleViolation, match="cannot have come before") as refusal:
        compare_rain(**hours, rainfast_h=4)

    assert (refusal.value.code, refusal.value.where) == ("time_negative", "first_rain")


@pytest.mark.parametrize("rainfast", [0, None])
def test_rain_without_rainfast_hours_is_compared_with_nothing(rainfast):
    with pytest.raises(RuleViolation) as refusal:
        compare_rain(first_rain_h=1, rainfast_h=rainfast)

    assert refusal.value.code == "limit_missing"
