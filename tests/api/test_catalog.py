"""The catalogue through REST: lists and their filters, errors with pointers, a constant number of queries."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.catalog.models import Limit
from stewardship.sync.reference import load_reference, reference_id
from tests.api.asking import get, patch, post
from tests.cast import AT

LIMIT = {
    "what": "wind", "unit": "mph", "low": "3", "high": "10", "method": "foliar",
    "wording": "Drift potential rises outside 3 to 10 mph.", "source": "Spray-drift statement of a label",
}  # fmt: skip


@pytest.fixture
def loaded(cast):
    load_reference(cast.group.id, at=AT)
    return cast.group


def keys(someone, path, **filters):
    answer = get(someone, path, limit=100, **filters)
    assert answer.status_code == 200, answer.content
    return {row["reference_key"] for row in answer.json()["results"]}


@pytest.mark.parametrize(
    ("filters", "found"),
    [
        ({"scientific_name": "rhamnus"}, {"rhamnus-cathartica"}),
        ({"common_name": "honeysuckle"}, {"lonicera-maackii", "lonicera-tatarica"}),
        ({"eppo_code": "AILAL"}, {"ailanthus-altissima"}),
        ({"usda_symbol": "ELUM"}, {"elaeagnus-umbellata"}),
        ({"itis_tsn": 28755}, {"acer-platanoides"}),
        ({"growth_form": "vine"}, {"celastrus-orbiculatus"}),
        ({"retired": "true"}, set()),
    ],
)
def test_species_are_found_by_name_and_identifier(loaded, volunteer, filters, found):
    assert keys(volunteer, "species", **filters) == found


def test_products_are_found_by_what_they_hold(loaded, reviewer):
    id = reference_id(loaded.id, "active_ingredient", "triclopyr-bee")

    assert keys(reviewer, "products", active_ingredient=id) == {"triclopyr-bee-4", "triclopyr-bee-ready"}
    assert keys(reviewer, "products", restricted_use="true") == {"picloram-k-2"}
    assert keys(reviewer, "products", aquatic="true", formulation="amine") == {"triclopyr-tea-3"}
    assert keys(reviewer, "products", registration_no="99990-109") == {"fosamine-4"}


def test_limits_are_found_by_what_they_limit(loaded, volunteer):
    found = keys(volunteer, "limits", what="strength", method="basal_bark", formulation="ester")

    assert found == {"basal-bark-pnw-10-20", "basal-bark-kansas-25-30", "basal-bark-illinois-10"}
    assert "cut-stump-oil-20-30" in keys(volunteer, "limits", carrier="oil")
    knotweed = reference_id(loaded.id, "species", "reynoutria-japonica")
    assert keys(volunteer, "limits", species=knotweed) == {"knotweed-year-8-5-qt", "knotweed-year-1600-stems"}


def test_an_active_ingredient_is_found_by_its_name(loaded, volunteer):
    assert keys(volunteer, "active-ingredients", name="picloram") == {"picloram-k"}


PATHS = ["species", "active-ingredients", "products", "limits", "rule-profiles"]


@pytest.mark.parametrize("path", PATHS)
def test_a_filter_that_does_not_exist_is_refused(volunteer, path):
    answer = get(volunteer, path, colour="red")

    assert (answer.status_code, answer.json()["code"]) == (400, "filter_unknown")


@pytest.mark.parametrize("path", PATHS)
def test_a_list_costs_the_same_queries_whatever_its_length(loaded, volunteer, path):
    get(volunteer, path)  # the first call notes when the device was seen
    counts = set()
    for limit in (1, 10):
        with CaptureQueriesContext(connection) as seen:
            get(volunteer, path, limit=limit)
        counts.add(len(seen))

    assert len(counts) == 1


@pytest.mark.parametrize(
    ("filters", "found"),
    [
        ({"jurisdiction": "US-ID"}, {"us-id", "us-id-until-2024"}),
        ({"jurisdiction": "US-ID", "on": "2024-06-30"}, {"us-id-until-2024"}),
        ({"jurisdiction": "US-ID", "on": "2024-07-01"}, {"us-id"}),
        ({"jurisdiction": "US", "on": "2025-07-11"}, {"us-40-cfr-171"}),
        ({"jurisdiction": "US-XX"}, set()),
        ({"retired": "true"}, set()),
    ],
)
def test_rule_profiles_are_found_by_place_and_by_the_day_they_were_in_force(loaded, reviewer, filters, found):
    assert keys(reviewer, "rule-profiles", **filters) == found


def test_a_rule_profile_that_ends_before_it_begins_is_refused_with_the_field_at_fault(coordinator):
    days = {"effective_from": "2024-07-01", "effective_to": "2024-06-30"}
    told = {"name": "A rule", "source": "An invented ordinance", "clock": {"kind": "hours", "count": 48}}

    answer = post(coordinator, "rule-profiles", told | days)

    assert (answer.status_code, answer.json()["code"]) == (400, "profile_ends_before_it_begins")
    assert answer.json()["where"] == "effective_to"


def test_a_rule_profile_without_a_source_or_with_half_a_clock_is_a_bad_request(coordinator):
    answer = post(coordinator, "rule-profiles", {"name": "A rule", "source": "", "clock": {"kind": "hours"}})

    assert answer.status_code == 400
    assert [problem["pointer"] for problem in answer.json()["errors"]] == ["/source", "/clock"]


def test_another_groups_active_ingredient_finds_no_product(loaded, stranger):
    load_reference(stranger.group_id, at=AT)
    foreign = reference_id(loaded.id, "active_ingredient", "triclopyr-bee")

    assert keys(stranger, "products", active_ingredient=foreign) == set()


def test_a_limit_without_a_source_is_a_bad_request_with_a_pointer(coordinator):
    answer = post(coordinator, "limits", LIMIT | {"source": ""})

    assert answer.status_code == 400
    assert [problem["pointer"] for problem in answer.json()["errors"]] == ["/source"]
    assert not Limit.objects.exists()


def test_a_source_is_not_taken_away_by_an_amendment(coordinator):
    kept = post(coordinator, "limits", LIMIT).json()

    answer = patch(coordinator, f"limits/{kept['id']}", {"source": ""}, If_Match='"1"')

    assert answer.status_code == 400
    assert Limit.objects.get().source == LIMIT["source"]


def test_a_limit_upside_down_is_a_broken_rule(coordinator):
    answer = post(coordinator, "limits", LIMIT | {"low": "11"})

    assert (answer.status_code, answer.json()["code"]) == (409, "limit_upside_down")


def test_a_product_is_answered_with_what_follows_from_its_label(loaded, volunteer):
    id = reference_id(loaded.id, "product", "triclopyr-bee-4")

    answer = get(volunteer, f"products/{id}").json()

    [ingredient] = answer["ingredients"]
    assert ingredient["ae"] == {"value": "4", "unit": "lb_gal"}
    assert ingredient["name"] == "triclopyr"
    assert answer["density"] is None


def test_a_retired_product_is_listed_apart(loaded, coordinator, volunteer):
    id = reference_id(loaded.id, "product", "fosamine-4")

    assert post(coordinator, f"products/{id}/retire", {"reason": "no longer sold"}).status_code == 200

    assert keys(volunteer, "products", retired="true") == {"fosamine-4"}
    assert "fosamine-4" not in keys(volunteer, "products", retired="false")
