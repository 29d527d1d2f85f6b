"""A mix planned for a unit is refused over a stored limit, with every reason, unless a coordinator overrides it."""

import re

import pytest

from stewardship.errors import NotPermitted, Unreadable
from stewardship.journal.models import Revision
from stewardship.rules.strength import ConcentrateTooWeak
from stewardship.treatments.models import PlannedMix
from stewardship.treatments.services.planned_mixes import PlanOverLimits
from stewardship.workdays.reasons import DayNotReady
from tests.ground import fl_oz
from tests.stewardship.treatments.limited import codes, creek, limit, mapped

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("with_a_card")]

VERDICTS = re.compile(r"\b(allowed|go|safe)\b", re.IGNORECASE)


def plan(ground, by=None, strength="20", **values):
    told = {
        "unit": ground.unit,
        "planned_on": "2027-06-05",
        "method": "basal_bark",
        "carrier": "oil",
        "mix": fl_oz("64"),
        "parts": [{"product": str(ground.product), "strength": {"value": strength, "basis": "product_v_v"}}],
        "species": ground.species,
    }
    return (by or ground.coordinator).does("planned_mix", "create", **told | values).record


def reasons(refused):
    return [reason["code"] for reason in refused.value.facts["reasons"]]


@pytest.fixture
def over(coordinator, ground):
    """Store limits that a plan of 64 fl oz at 20 % in the unit of an acre is over, and mark a creek in it."""
    limit(coordinator, what="strength", high="15", unit="product_v_v", method="basal_bark", source="Handbook A")
    limit(coordinator, what="area_year_ceiling", high="0.3", unit="qt_acre", source="Handbook B")
    mapped(ground)
    creek(ground, -88.0995)


def test_a_plan_within_the_limits_is_kept_with_its_volumes(ground, cast):
    made = plan(ground, cast.volunteer)

    (part,) = made.parts
    assert part["nl"] == 378_541_178, "a fifth of half a gallon"
    assert part["strength"] == {"value": "20", "basis": "product_v_v"}
    assert (made.state, made.marks, made.overridden, made.property_id) == ("open", [], [], ground.property)


def test_a_part_may_say_its_volume_and_says_one_of_the_two(ground):
    made = plan(ground, parts=[{"product": str(ground.product), "volume": fl_oz("12.8")}])
    assert made.parts[0]["nl"] == round(12.8 * 29_573_529.5625)

    strength = {"value": "20", "basis": "product_v_v"}
    for part in ({"volume": fl_oz("12.8"), "strength": strength}, {}):
        with pytest.raises(Unreadable):
            plan(ground, parts=[{"product": str(ground.product), **part}])
    with pytest.raises(ConcentrateTooWeak):
        plan(ground, parts=[{"product": str(ground.product), "strength": {"value": "60", "basis": "ae_w_v"}}])


def test_everything_that_stands_in_the_way_is_told_at_once_each_with_its_source(ground, cast, over):
    with pytest.raises(PlanOverLimits) as refused:
        plan(ground, cast.volunteer, carrier="water")

    told = refused.value.facts["reasons"]
    assert reasons(refused) == [
        "carrier_not_on_label", "strength_above_limit", "near_sensitive_area", "over_ceiling",
    ]  # fmt: skip
    assert [each["source"] for each in told] == [
        "Label of triclopyr ester 4 lb a.e./gal", "Handbook A", "The county's map of streams", "Handbook B",
    ]  # fmt: skip
    assert [each["where"].split("/")[0] for each in told] == ["products", "limits", "sensitive-areas", "limits"]
    assert not VERDICTS.search(str(refused.value))
    assert not PlannedMix.objects.exists()


def test_a_coordinator_overrides_it_with_a_reason_and_what_was_overridden_is_kept(ground, cast, over):
    made = plan(ground, override={"reason": "the agency asked for it in writing"})

    assert [each["code"] for each in made.overridden] == ["strength_above_limit", "near_sensitive_area", "over_ceiling"]
    assert made.override_reason == "the agency asked for it in writing"
    assert made.overridden_by_id == cast.coordinator.member.id
    assert made.marks == []


def test_a_volunteer_overrides_nothing(ground, cast, over):
    with pytest.raises(NotPermitted):
        plan(ground, cast.volunteer, override={"reason": "it will do"})


def test_an_override_without_a_reason_is_none(ground, over):
    with pytest.raises(Unreadable):
        plan(ground, override={"reason": "  "})


def test_an_override_that_overrides_nothing_is_not_kept(ground):
    made = plan(ground, override={"reason": "just in case"})

    assert (made.overridden, made.override_reason, made.overridden_by_id) == ([], "", None)


def test_what_cannot_be_compared_and_what_is_near_is_a_warning(ground, coordinator):
    limit(coordinator, what="area_year_ceiling", high="1", unit="qt_acre")

    assert codes(plan(ground)) == ["ceiling_not_comparable"]
    mapped(ground, ground.other_unit)
    full = [{"product": str(ground.product), "volume": fl_oz("27")}]
    assert codes(plan(ground, unit=ground.other_unit, parts=full)) == ["near_ceiling"]


def test_what_was_used_and_what_else_is_planned_counts(ground, coordinator):
    """A quart an acre: 12 fl oz were used, 12.8 are planned, 12.8 more make 37.6 of 32."""
    mapped(ground)
    limit(coordinator, what="area_year_ceiling", high="1", unit="qt_acre", source="Handbook B")
    ground.line(ground.session(), ground.batch(), "60")
    first = plan(ground)

    with pytest.raises(PlanOverLimits):
        plan(ground)
    assert codes(plan(ground, planned_on="2028-06-05")) == [], "another year"
    assert codes(plan(ground, unit=ground.other_unit)) == ["ceiling_not_comparable"], "another unit"

    coordinator.does("planned_mix", "cancel", id=first.id, reason="rain")
    assert codes(plan(ground)) == []


def test_a_plan_that_is_done_counts_no_more_and_ends_once(ground, coordinator):
    made = plan(ground)
    coordinator.does("planned_mix", "finish", id=made.id)
    again = coordinator.does("planned_mix", "finish", id=made.id)

    assert (again.record.state, again.result["outcome"]) == ("done", "noop")


def test_the_strength_of_a_plan_is_that_of_the_whole_mix(ground, coordinator):
    limit(coordinator, what="strength", high="20", unit="product_v_v")

    assert plan(ground, strength="20").marks == []
    with pytest.raises(PlanOverLimits):
        plan(ground, strength="20.01")


# -- confirming a day ------------------------------------------------------------------------------


@pytest.fixture
def day(ground, coordinator):
    """Plan a day without herbicide of its own, and open it."""
    values = {"property": ground.property, "title": "Buckthorn", "on_date": "2027-06-05", "units": [str(ground.unit)]}
    id = coordinator.does("work_day", "create", **values, herbicide_planned=False).record.id
    coordinator.does("work_day", "open", id=id)
    return id


def test_a_day_is_not_confirmed_while_a_mix_planned_for_it_is_over_a_limit(ground, coordinator, day):
    made = plan(ground, work_day=day)
    limit(coordinator, what="strength", high="15", unit="product_v_v", source="Handbook A")

    with pytest.raises(DayNotReady) as refused:
        coordinator.does("work_day", "confirm", id=day)

    (reason,) = refused.value.facts["reasons"]
    assert (reason["code"], reason["source"]) == ("strength_above_limit", "Handbook A")
    assert reason["where"] == f"planned-mixes/{made.id}"

    coordinator.does("planned_mix", "override", id=made.id, reason="the label names 20 %")
    assert coordinator.does("work_day", "confirm", id=day).record.state == "confirmed"


def test_a_new_reason_stands_although_another_one_was_overridden(ground, coordinator, day, over):
    plan(ground, work_day=day, override={"reason": "asked for in writing"})
    limit(coordinator, what="strength", high="10", unit="product_v_v", source="Handbook C")

    with pytest.raises(DayNotReady) as refused:
        coordinator.does("work_day", "confirm", id=day)

    assert [each["source"] for each in refused.value.facts["reasons"]] == ["Handbook C"]


def test_a_cancelled_plan_stands_in_no_ones_way(ground, coordinator, day):
    made = plan(ground, work_day=day)
    limit(coordinator, what="strength", high="15", unit="product_v_v")
    coordinator.does("planned_mix", "cancel", id=made.id, reason="weaker then")

    assert coordinator.does("work_day", "confirm", id=day).record.state == "confirmed"


def test_what_was_used_since_counts_when_the_day_is_confirmed(ground, coordinator, day):
    mapped(ground)
    limit(coordinator, what="area_year_ceiling", high="0.5", unit="qt_acre", source="Handbook B")
    plan(ground, work_day=day)
    ground.line(ground.session(), ground.batch(), "30")

    with pytest.raises(DayNotReady) as refused:
        coordinator.does("work_day", "confirm", id=day)

    assert reasons(refused) == ["over_ceiling"]


def test_a_cancelled_day_takes_its_open_plans_with_it(ground, coordinator, day):
    """A quart an acre: two plans of 12.8 fl oz lie within it, three do not, unless one went with its day."""
    mapped(ground)
    limit(coordinator, what="area_year_ceiling", high="1", unit="qt_acre", source="Handbook B")
    done, open_ = plan(ground, work_day=day), plan(ground, work_day=day)
    coordinator.does("planned_mix", "finish", id=done.id)
    other = plan(ground)
    with pytest.raises(PlanOverLimits):
        plan(ground)

    coordinator.does("work_day", "cancel", id=day, reason="storm")

    states = {made.id: PlannedMix.objects.get(id=made.id).state for made in (done, open_, other)}
    assert states == {done.id: "done", open_.id: "cancelled", other.id: "open"}
    assert Revision.objects.get(record_id=open_.id, rev=2).reason == "storm"
    assert codes(plan(ground)) == []


def test_a_postponed_day_takes_its_open_plans_with_it(ground, coordinator):
    planned = {"property": ground.property, "title": "Buckthorn", "on_date": "2027-06-05"}
    day = coordinator.does("work_day", "create", **planned).record.id
    open_, done = plan(ground, work_day=day), plan(ground, work_day=day)
    coordinator.does("planned_mix", "finish", id=done.id)

    coordinator.does("work_day", "postpone", id=day, on_date="2027-06-12", reason="rain")

    dates = {made.id: str(PlannedMix.objects.get(id=made.id).planned_on) for made in (open_, done)}
    assert dates == {open_.id: "2027-06-12", done.id: "2027-06-05"}
