"""Sensitive areas are marked, corrected and taken out of use."""

import pytest

from stewardship.errors import NotPermitted, ReasonMissing, Unreadable
from stewardship.places.models import SensitiveArea

pytestmark = pytest.mark.django_db(transaction=True)

CREEK = {
    "name": "Heron Creek",
    "what": "water",
    "geometry": {"type": "LineString", "coordinates": [[-88.1, 42.1], [-88.1, 42.2]]},
    "source": "The county's map of streams",
}


def test_a_coordinator_marks_one_and_its_place_is_kept_as_text(coordinator):
    area = coordinator.does("sensitive_area", "create", **CREEK).record

    assert area.geometry["coordinates"] == [["-88.1000000", "42.1000000"], ["-88.1000000", "42.2000000"]]
    assert (area.property_id, area.retired_at) == (None, None)


def test_it_is_corrected_and_may_come_to_a_property(coordinator):
    area = coordinator.does("sensitive_area", "create", **CREEK).record
    place = coordinator.does("property", "create", name="Heron Bend").record

    coordinator.does("sensitive_area", "amend", id=area.id, property=place.id, what="well")

    found = SensitiveArea.objects.get(id=area.id)
    assert (found.property_id, found.what, found.rev) == (place.id, "well", 2)


def test_it_goes_out_of_use_and_back_with_a_reason(coordinator):
    area = coordinator.does("sensitive_area", "create", **CREEK).record
    with pytest.raises(ReasonMissing):
        coordinator.does("sensitive_area", "retire", id=area.id)

    coordinator.does("sensitive_area", "retire", id=area.id, reason="filled in")
    coordinator.does("sensitive_area", "retire", id=area.id, reason="filled in")
    assert SensitiveArea.objects.get(id=area.id).rev == 2

    coordinator.does("sensitive_area", "reinstate", id=area.id, reason="it is still there")
    assert SensitiveArea.objects.get(id=area.id).retired_at is None


@pytest.mark.parametrize("source", ["", "  "])
def test_it_always_names_its_source(coordinator, source):
    area = coordinator.does("sensitive_area", "create", **CREEK).record

    with pytest.raises(Unreadable) as refused:
        coordinator.does("sensitive_area", "amend", id=area.id, source=source)

    assert [each["pointer"] for each in refused.value.facts["errors"]] == ["/source"]


def test_a_place_that_is_none_is_refused_with_where(coordinator):
    with pytest.raises(Unreadable) as refused:
        coordinator.does("sensitive_area", "create", **CREEK | {"geometry": {"type": "Circle"}})

    assert [each["pointer"] for each in refused.value.facts["errors"]] == ["/geometry"]


def test_volunteers_and_reviewers_mark_none(cast):
    for someone in (cast.volunteer, cast.reviewer):
        with pytest.raises(NotPermitted):
            someone.does("sensitive_area", "create", **CREEK)
