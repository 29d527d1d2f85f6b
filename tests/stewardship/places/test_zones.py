"""The days of a property are told by its own clock, else by the group's."""

import pytest

from stewardship.journal.book import open_entry
from stewardship.places.models import Property
from stewardship.places.zones import zone_of
from tests.cast import AT, ZONE


@pytest.mark.parametrize(("own", "zone"), [("", ZONE), ("Australia/Lord_Howe", "Australia/Lord_Howe")])
def test_a_property_without_a_zone_of_its_own_has_the_groups(coordinator, own, zone):
    id = coordinator.does("property", "create", name="Heron Bend", time_zone=own).record.id

    with open_entry(group_id=coordinator.group_id, by=coordinator.actor, at=AT) as entry:
        found = zone_of(entry, entry.get(Property, id))

    assert found.key == zone
