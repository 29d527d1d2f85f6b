"""GET a unit's area-year ledger: each sum, its ratio to each stored ceiling, and who states that ceiling."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.ground import lay_out
from tests.stewardship.treatments.limited import limit, mapped

pytestmark = pytest.mark.django_db(transaction=True)

PNW = "Knotweed, PNW Weed Management Handbook (node 8533)"


@pytest.fixture
def ground(coordinator):
    return lay_out(coordinator)


@pytest.fixture
def injected(ground, coordinator):
    """Inject 5 mL into each of 1,600 stems on 1.0001 acres, in two sessions."""
    for high, unit in (("8.5", "qt_acre"), ("1600", "stems_acre")):
        limit(coordinator, what="area_year_ceiling", high=high, unit=unit, species=ground.species, source=PNW)
    mapped(ground)
    gallons = {"value": "5", "unit": "gal"}
    parts = [{"product": str(ground.product), "volume": gallons}]
    batch = ground.batch(carrier="none", mix=gallons, parts=parts)
    for _ in range(2):
        mix = {"value": "4", "unit": "l"}
        ground.line(ground.session(), batch, "1", method="injection", mix=mix, stems=800)
    return ground


def asked(someone, unit, query=""):
    return someone.client().get(f"/api/v1/groups/{someone.group_id}/units/{unit}/area-years{query}")


def test_the_volume_is_99_percent_of_its_ceiling_the_stems_100_and_the_stems_decide(injected, reviewer):
    body = asked(reviewer, injected.unit).json()

    (year,) = body["years"]
    (used,) = year["used"]
    volume, stems = year["ceilings"]
    assert (year["year"], used["lines"], used["stems"], used["species_name"]) == (2027, 2, 1600, "Rhamnus cathartica")
    assert used["products"][0]["name"] == "triclopyr ester 4 lb a.e./gal"
    assert (volume["percent"], stems["percent"]) == ("99.4", "100")
    assert (volume["used"], stems["used"]) == ("8.454 qt of product with triclopyr", "1600 stems")
    assert (volume["decides"], stems["decides"]) == (False, True)
    assert {each["state"] for each in year["ceilings"]} == {"near"}
    assert {each["divided_by"] for each in year["ceilings"]} == {"divided by the unit's 1.00 acre"}
    assert {each["source"] for each in year["ceilings"]} == {PNW}


def test_a_year_may_be_asked_for_and_one_without_use_is_empty(injected, coordinator):
    assert [each["year"] for each in asked(coordinator, injected.unit, "?year=2027").json()["years"]] == [2027]
    assert asked(coordinator, injected.unit, "?year=2026").json()["years"] == []
    assert asked(coordinator, injected.unit, "?year=soon").json()["errors"][0]["pointer"] == "/year"


def test_a_unit_without_an_area_has_no_ratio(injected, coordinator):
    coordinator.does("unit", "amend", id=injected.unit, boundary=None)

    body = asked(coordinator, injected.unit).json()

    assert body["area_mm2"] is None
    told = {(each["percent"], each["divided_by"], each["state"]) for each in body["years"][0]["ceilings"]}
    assert told == {(None, None, "not_comparable")}


def test_another_groups_unit_has_no_ledger_here(injected, stranger):
    response = stranger.client().get(f"/api/v1/groups/{stranger.group_id}/units/{injected.unit}/area-years")

    assert response.status_code == 404


def test_it_costs_the_same_statements_whatever_it_holds(injected, coordinator):
    def statements():
        with CaptureQueriesContext(connection) as seen:
            assert asked(coordinator, injected.unit).status_code == 200
        return len(seen)

    asked(coordinator, injected.unit)
    before = statements()
    for year in (2024, 2025, 2026):
        session = injected.session(started_at=f"{year}-05-01T09:30:00-05:00")
        injected.line(session, injected.batch(), "5", stems=3)

    assert statements() == before
