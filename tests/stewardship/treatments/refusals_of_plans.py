"""How the refusals about planned mixes come about."""

from stewardship.treatments.services import planned_mixes
from tests.doors import Case, last_act
from tests.ground import fl_oz, lay_out
from tests.stewardship.treatments.limited import limit


def plan(ground, **values):
    told = {
        "unit": ground.unit,
        "planned_on": "2027-06-05",
        "method": "basal_bark",
        "carrier": "oil",
        "mix": fl_oz("64"),
        "parts": [{"product": str(ground.product), "volume": fl_oz("12.8")}],
    }
    return ground.coordinator.does("planned_mix", "create", **told | values).record


def a_plan_is_over_a_stored_limit(cast):
    ground = lay_out(cast.coordinator)
    limit(cast.coordinator, what="strength", high="15", unit="product_v_v")
    return last_act(lambda: plan(ground))


def a_plan_is_for_another_date_than_its_day(cast):
    ground = lay_out(cast.coordinator)
    values = {"property": ground.property, "title": "Buckthorn", "on_date": "2027-06-06", "units": [str(ground.unit)]}
    day = cast.coordinator.does("work_day", "create", **values).record.id
    return last_act(lambda: plan(ground, work_day=day))


def a_cancelled_plan_is_finished(cast):
    made = plan(lay_out(cast.coordinator))
    cast.coordinator.does("planned_mix", "cancel", id=made.id, reason="rain")
    return last_act(lambda: cast.coordinator.does("planned_mix", "finish", id=made.id))


def a_plan_within_the_limits_is_overridden(cast):
    made = plan(lay_out(cast.coordinator))
    return last_act(lambda: cast.coordinator.does("planned_mix", "override", id=made.id, reason="just in case"))


CASES = [
    Case(planned_mixes.PlanOverLimits, a_plan_is_over_a_stored_limit),
    Case(planned_mixes.PlanOnAnotherDate, a_plan_is_for_another_date_than_its_day),
    Case(planned_mixes.PlanEnded, a_cancelled_plan_is_finished),
    Case(planned_mixes.NothingToOverride, a_plan_within_the_limits_is_overridden),
]
