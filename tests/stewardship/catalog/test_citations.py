"""What is cited never loses its source: refused with a code and a sentence, by any door."""

import pytest

from stewardship.catalog.models import Limit
from stewardship.errors import Unreadable
from tests.cast import sent
from tests.doors import both_doors
from tests.stewardship.catalog.entries import limit
from tests.stewardship.catalog.profiles.entries import rule_profile

pytestmark = pytest.mark.django_db(transaction=True)

CREEK = {
    "name": "Heron Creek", "what": "water", "geometry": {"type": "Point", "coordinates": [-88.1, 42.1]},
    "source": "The county's map of streams",
}  # fmt: skip


def cited(kind, coordinator):
    if kind == "limit":
        return limit(coordinator)
    if kind == "rule_profile":
        return rule_profile(coordinator)
    return coordinator.does("sensitive_area", "create", **CREEK).record


@pytest.mark.parametrize("source", ["", "   ", None])
@pytest.mark.parametrize("kind", ["limit", "rule_profile", "sensitive_area"])
def test_deleting_a_citation_is_refused_through_both_doors(coordinator, kind, source):
    record = cited(kind, coordinator)

    refused = both_doors(coordinator, sent(kind, "amend", {"source": source}, id=record.id))

    assert isinstance(refused, Unreadable)
    (problem,) = refused.facts["errors"]
    assert (problem["pointer"], problem["code"]) == ("/source", "value_invalid")
    assert "never stands without it" in problem["detail"]


def test_a_citation_may_be_corrected_and_the_one_before_stays_in_the_book(coordinator):
    record = limit(coordinator)

    coordinator.does("limit", "amend", id=record.id, source="PNW Weed Management Handbook, basal bark")

    assert Limit.objects.get(id=record.id).source == "PNW Weed Management Handbook, basal bark"
    path = f"/api/v1/groups/{coordinator.group_id}/limits/{record.id}/history"
    assert len(coordinator.client().get(path).json()["results"]) == 2
