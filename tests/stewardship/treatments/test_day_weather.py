"""The weather of a day against the stored limits, by method and formulation: words, sources, and never a permission."""

import json

import pytest

from stewardship.catalog.models import Limit
from stewardship.errors import NotPermitted
from stewardship.sync.reference import load_reference
from stewardship.treatments.day_weather import compared
from stewardship.workdays.models import WeatherReading
from tests.cast import AT
from tests.planning import Plan, at

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan(coordinator):
    load_reference(coordinator.group_id, at=AT)
    plan = Plan(coordinator)
    plan.does("open")
    return plan


def reads(someone, plan, **values):
    told = {"work_day": plan.id, "read_at": at("9:00"), "moment": "start"} | values
    return someone.does("weather_reading", "create", **told).record.id


def ways(plan):
    limits = list(Limit.objects.filter(group_id=plan.coordinator.group_id, retired_at=None))
    readings = list(WeatherReading.objects.filter(work_day_id=plan.id, voided_at=None).order_by("read_at"))
    return {(each.method, each.formulation): each for each in compared(limits, readings)}


def wind(mph):
    return {"value": mph, "unit": "mph"}


def test_12_mph_is_over_a_stored_limit_for_foliar_work_with_its_source_and_not_for_a_daub(plan, volunteer):
    reads(volunteer, plan, wind_speed=wind("12"), wind_direction="sw")

    found = ways(plan)

    foliar, daub = found["foliar", "ester"], found["cut_stump", "ester"]
    assert foliar.words == "over a stored limit"
    assert foliar.findings
    assert [each for each in foliar.findings if not ("Wind 12 mi" in each.detail and each.source)] == []
    assert (daub.words, daub.findings) == ("no stored limit exceeded; read the label", [])


def test_the_gravest_of_the_readings_of_a_day_counts_and_a_voided_one_does_not(plan, volunteer):
    reads(volunteer, plan, wind_speed=wind("5"))
    gust = reads(volunteer, plan, wind_speed=wind("14"), moment="change", read_at=at("10:30"))
    assert ways(plan)["foliar", "amine"].words == "over a stored limit"

    volunteer.does("weather_reading", "void", id=gust, reason="read off another station")

    assert ways(plan)["foliar", "amine"].words == "no stored limit exceeded; read the label"


def test_heat_is_over_a_limit_for_an_ester_and_not_for_what_does_not_evaporate(plan, volunteer):
    reads(volunteer, plan, temperature={"value": "82", "unit": "f"})

    found = ways(plan)

    assert found["basal_bark", "ester"].words == "over a stored limit"
    assert found["basal_bark", "amine"].words == "no stored limit exceeded; read the label"


def test_too_little_wind_is_told_as_below_a_stored_limit(plan, volunteer):
    reads(volunteer, plan, wind_speed=wind("1"))

    assert ways(plan)["foliar", "amine"].words == "below a stored limit"


def test_nothing_that_is_told_sounds_like_a_permission(plan, volunteer):
    reads(volunteer, plan, wind_speed=wind("12"), temperature={"value": "82", "unit": "f"}, humidity_percent=30)

    told = json.dumps([[each.words, [f.detail for f in each.findings]] for each in ways(plan).values()]).lower()

    assert not {"allowed", "safe", "no-go", "may be done"} & {
        word for word in ("allowed", "safe", "no-go", "may be done") if word in told
    }


def test_why_work_went_on_is_kept_with_the_reading_by_who_leads(plan, volunteer, other_volunteer):
    reading = reads(volunteer, plan, wind_speed=wind("12"))
    with pytest.raises(NotPermitted):
        volunteer.does("weather_reading", "go_on", id=reading, went_on="stumps only")
    with pytest.raises(NotPermitted):
        reads(volunteer, plan, went_on="stumps only")

    plan.leads(other_volunteer)
    other_volunteer.does("weather_reading", "go_on", id=reading, went_on="stumps only, by sponge")

    assert WeatherReading.objects.get(id=reading).went_on == "stumps only, by sponge"
    assert ways(plan)["foliar", "ester"].words == "over a stored limit", "words alter no comparison"
