"""What is marked on lines from stored limits of the wait and the weather."""

import pytest

from stewardship.treatments.models import Application
from tests.stewardship.treatments.limited import codes, line

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("with_a_card")]


# -- the wait --------------------------------------------------------------------------------------


FLORIDA = {
    "what": "cut_to_treat", "high": "1", "unit": "min", "method": "cut_stump", "carrier": "water",
    "wording": "Treat within 1 minute of cutting.", "source": "Treatment methods, UF/IFAS Monroe County",
}  # fmt: skip


@pytest.mark.parametrize(
    ("wait", "marked"),
    [
        ("under_1_min", []),
        ("1_to_5_min", ["wait_above_limit"]),
        ("5_to_15_min", ["wait_above_limit"]),
        ("60_min_or_more", ["wait_above_limit"]),
        ("", []),
    ],
)
def test_a_cut_stump_in_water_that_waited_over_a_minute_is_marked_with_the_citation(ground, enter, wait, marked):
    """Water carrier, five minutes or more, limit 1 minute."""
    enter(**FLORIDA)
    water = ground.batch(carrier="water")

    found = line(ground, batch=water, method="cut_stump", longest_wait=wait)

    assert codes(found) == marked
    if marked:
        assert found.marks[0]["source"] == "Treatment methods, UF/IFAS Monroe County"
        assert "over a stored limit of 1 min" in found.marks[0]["detail"]


def test_a_limit_inside_the_class_may_be_passed_and_oil_and_bark_are_not_judged_by_water_on_stumps(ground, enter):
    enter(**FLORIDA | {"high": "2"})
    water = ground.batch(carrier="water")

    (mark,) = line(ground, batch=water, method="cut_stump", longest_wait="1_to_5_min").marks

    assert (mark["code"], mark["field"]) == ("wait_may_be_above_limit", "longest_wait")
    assert "may be over a stored limit of 2 min" in mark["detail"]
    assert codes(line(ground, batch=water, longest_wait="1_to_5_min")) == []
    assert codes(line(ground, method="cut_stump", longest_wait="1_to_5_min")) == []


def test_another_wait_is_judged_anew(ground, enter, coordinator):
    enter(**FLORIDA)
    found = line(ground, batch=ground.batch(carrier="water"), method="cut_stump", longest_wait="5_to_15_min")

    coordinator.does("application", "amend", id=found.id, reason="asked again", longest_wait="under_1_min")

    assert codes(Application.objects.get(id=found.id)) == []


# -- the weather -----------------------------------------------------------------------------------


def reading(clock="09:30", humidity=None, **quantities):
    told = {name: {"value": value, "unit": unit} for name, (value, unit) in quantities.items()}
    return {"at": f"2027-05-01T{clock}:00-05:00", "humidity_percent": humidity} | told


WIND = {"what": "wind", "low": "3", "high": "10", "unit": "mph", "wording": "3 to 10 mph.", "source": "A label"}


def blown(ground, method, *speeds, **values):
    session = ground.session(weather=[reading(f"1{i}:00", wind_speed=each) for i, each in enumerate(speeds)])
    return ground.line(session, ground.batch(), "5", method=method, **values)


def test_twelve_miles_an_hour_is_over_a_limit_of_sprays_and_not_over_a_daubs(ground, enter):
    enter(**WIND)

    (mark,) = blown(ground, "foliar", ("12", "mph")).marks

    assert (mark["code"], mark["field"], mark["source"]) == ("wind_above_limit", "weather", "A label")
    assert mark["detail"].startswith("Wind 12 miles an hour: over a stored limit of 3 to 10 miles an hour.")
    assert codes(blown(ground, "cut_stump", ("12", "mph"))) == []


@pytest.mark.parametrize(
    ("speeds", "marked"),
    [
        ([("10", "mph")], []),
        ([("16.1", "km_h")], ["wind_above_limit"]),
        ([("3", "mph")], []),
        ([("2.9", "mph")], ["wind_below_limit"]),
        ([("5", "mph"), ("2", "mph"), ("11", "mph")], ["wind_above_limit"]),
        ([], []),
    ],
)
def test_the_gravest_reading_counts_at_both_edges_in_any_unit(ground, enter, speeds, marked):
    enter(**WIND)

    assert codes(blown(ground, "foliar", *speeds)) == marked


@pytest.mark.parametrize(
    ("degrees", "humidity", "marked"),
    [("25.1", 39, ["hot_and_dry_limit"]), ("25", 39, []), ("25.1", 40, []), ("30", None, [])],
)
def test_heat_and_drought_count_only_together(ground, enter, degrees, humidity, marked):
    """Ontario (OMAFRA), How weather conditions affect spray applications: above 25 C and below 40 %."""
    for ends in ({"high": "25", "unit": "c"}, {"low": "40", "unit": "percent"}):
        enter(what="hot_and_dry", **ends, source="OMAFRA factsheet")
    session = ground.session(weather=[reading(temperature=(degrees, "c"), humidity=humidity)])

    assert codes(ground.line(session, ground.batch(), "5", method="foliar")) == marked
    assert codes(ground.line(session, ground.batch(), "5", method="cut_stump")) == [], "a daub makes no drops"


@pytest.mark.parametrize(
    ("degrees", "marked"),
    [("-7", ["temperature_below_limit"]), ("20", []), ("32.3", ["temperature_above_limit"])],
)
def test_a_temperature_is_compared_for_any_method_that_the_limit_names(ground, enter, degrees, marked):
    """NRCS Indiana 2009, as a state woody-plant coalition's page cites it: poor below 20 F and above 90 F (32.2 C)."""
    enter(what="temperature", low="20", high="90", unit="f", method="basal_bark")
    session = ground.session(weather=[reading(temperature=(degrees, "c"))])

    assert codes(ground.line(session, ground.batch(), "5")) == marked


def test_weather_that_is_told_later_is_judged_then(ground, enter, coordinator):
    enter(**WIND)
    session = ground.session()
    found = ground.line(session, ground.batch(), "5", method="foliar")
    assert codes(found) == []

    told = [reading(wind_speed=("12", "mph"))]
    coordinator.does("session", "amend", id=session, weather=told, reason="from the notebook")

    assert codes(Application.objects.get(id=found.id)) == ["wind_above_limit"]
