"""A push costs the same statements however many plans, in however many units, it overrides, confirms or cancels."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.cast import sent
from tests.stewardship.treatments.limited import limit
from tests.stewardship.treatments.test_planned_mixes import plan

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def planned(ground, coordinator):
    """Plan a mix over a limit, that somebody overrode, in a unit of its own for a day of its own; give both ids."""
    limit(coordinator, what="strength", high="15", unit="product_v_v", source="Handbook A")

    def _planned(place):
        unit = coordinator.does("unit", "create", property=ground.property, name=f"Slope {place}").record.id
        told = {"property": ground.property, "title": f"Slope {place}", "on_date": "2027-06-05"}
        day = coordinator.does("work_day", "create", **told, herbicide_planned=False).record.id
        coordinator.does("work_day", "open", id=day)
        made = plan(ground, unit=unit, work_day=day, override={"reason": "asked for in writing"})
        return made.id, day

    coordinator.pushes(sent("batch", "create", {}))  # the device's first push makes its place in the ledger
    return _planned


@pytest.mark.parametrize("kind", ["override", "confirm", "cancel"])
def test_1_and_6_cost_the_same(planned, coordinator, kind):
    counts = {}
    for count in (1, 6):
        made = [planned(f"{count}-{place}") for place in range(count)]
        acts = {
            "override": [sent("planned_mix", "override", id=id, reason="seen again") for id, _ in made],
            "confirm": [sent("work_day", "confirm", id=day) for _, day in made],
            "cancel": [sent("work_day", "cancel", id=day, reason="storm") for _, day in made],
        }[kind]
        with CaptureQueriesContext(connection) as seen:
            taken = coordinator.pushes(*acts)
        assert {result["outcome"] for result in taken.results} == {"applied"}
        counts[count] = len(seen)

    assert counts[1] == counts[6], counts
