"""Confirming a day with herbicide: what law and landowner ask before it, at both edges of every date, by both doors."""

from datetime import UTC, datetime

import pytest

from stewardship.workdays.reasons import DayNotReady
from tests.cast import sent
from tests.doors import both_doors
from tests.planning import Plan
from tests.stewardship.catalog.entries import limit
from tests.stewardship.places.papers import notice, permission, permit, tells

pytestmark = pytest.mark.django_db(transaction=True)

BEFORE_FIRST, FIRST, LAST, AFTER_LAST = "2027-07-02", "2027-07-01", "2027-07-01", "2027-06-30"
"""The day is 1 July: a permission that begins on each, or ends on each."""
NINE = "2027-07-01T09:00:00-05:00"


@pytest.fixture
def plan(cast):
    return Plan(cast.coordinator).staffed(cast.volunteer)


def reasons(plan):
    """Return what stands in the way of confirming the day, told alike by both doors."""
    refused = both_doors(plan.coordinator, sent("work_day", "confirm", id=plan.id))
    assert type(refused) is DayNotReady
    return refused.facts["reasons"]


def codes(plan):
    return [each["code"] for each in reasons(plan)]


def wants_permissions(cast):
    cast.coordinator.does("group", "amend", id=cast.group.id, wants_permissions=True)


# -- the landowner's permission -------------------------------------------------------------------


def test_without_one_on_record_a_group_that_wants_permissions_confirms_nothing(cast, plan):
    wants_permissions(cast)

    assert codes(plan) == ["permission_missing"]


def test_a_group_that_does_not_ask_for_them_confirms_without_one_on_record(plan):
    assert plan.does("confirm").state == "confirmed"


def test_a_day_without_herbicide_takes_none(cast, plan):
    wants_permissions(cast)
    plan.coordinator.does("work_day", "amend", id=plan.id, herbicide_planned=False)

    assert plan.does("confirm").state == "confirmed"


@pytest.mark.parametrize("dates", [{"valid_from": FIRST}, {"valid_from": "2027-01-01", "valid_to": LAST}])
def test_its_first_and_its_last_day_count(cast, plan, dates):
    wants_permissions(cast)
    permission(cast.coordinator, plan.property, **dates)

    assert plan.does("confirm").state == "confirmed"


@pytest.mark.parametrize(
    ("dates", "told"),
    [
        ({"valid_from": BEFORE_FIRST}, "begins on 2 July 2027"),
        ({"valid_from": "2027-01-01", "valid_to": AFTER_LAST}, "ended on 30 June 2027"),
    ],
)
def test_a_day_outside_it_is_refused_even_where_the_group_does_not_ask_for_permissions(cast, plan, dates, told):
    permission(cast.coordinator, plan.property, **dates)

    (reason,) = reasons(plan)

    assert reason["code"] == "permission_missing"
    assert told in reason["detail"]


@pytest.mark.parametrize(("day", "stands"), [("2027-07-02", True), ("2027-07-01", False)])
def test_it_holds_until_the_day_before_its_withdrawal(cast, plan, day, stands):
    id = permission(cast.coordinator, plan.property)
    cast.coordinator.does("land_permission", "withdraw", id=id, withdrawn_on=day, reason="the land was sold")

    if stands:
        assert plan.does("confirm").state == "confirmed"
    else:
        assert codes(plan) == ["permission_missing"]


def test_one_without_herbicide_is_told_beside_one_with_it(cast, plan):
    permission(cast.coordinator, plan.property)
    without = permission(cast.coordinator, plan.property, herbicide=False)

    (reason,) = reasons(plan)

    assert (reason["code"], reason["where"]) == ("permission_without_herbicide", f"permissions/{without}")


def test_a_permission_for_another_property_is_none_for_this(cast, plan):
    wants_permissions(cast)
    permission(cast.coordinator, cast.coordinator.does("property", "create", name="Fen Edge").record.id)

    assert codes(plan) == ["permission_missing"]


# -- notices --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("told_at", "stands"), [("2027-06-29T09:00:00-05:00", True), ("2027-06-29T09:00:01-05:00", False)]
)
def test_the_landowner_is_told_as_many_hours_before_as_they_want(cast, plan, told_at, stands):
    given = permission(cast.coordinator, plan.property, notice={"hours_before": 48})
    tells(cast.coordinator, notice(cast.coordinator, plan.property, permission=given), told_at, entered_at=LATER)

    assert confirmed_at(plan, LATER) is stands


def test_without_a_notice_on_record_the_day_is_refused(cast, plan):
    permission(cast.coordinator, plan.property, notice={"hours_before": 48})

    assert codes(plan) == ["notice_not_given"]


def test_a_notice_for_another_day_or_one_that_was_voided_is_none(cast, plan):
    given = permission(cast.coordinator, plan.property, notice={"hours_before": 48})
    other = {"first_on": "2027-06-30", "last_on": "2027-06-30"}
    ids = [notice(cast.coordinator, plan.property, permission=given, **more) for more in (other, {})]
    for id in ids:
        tells(cast.coordinator, id, "2027-05-01T09:00:00-05:00")
    cast.coordinator.does("neighbour_notice", "void", id=ids[1], reason="entered twice")

    assert codes(plan) == ["notice_not_given"]


LATER = datetime(2027, 6, 30, 23, 0, tzinfo=UTC)
"""15 hours before the day begins at 9:00 in the zone of the property (14:00 UTC)."""


def confirmed_at(plan, moment):
    try:
        plan.coordinator.does("work_day", "confirm", id=plan.id, at=moment)
    except DayNotReady as refusal:
        return {each["code"] for each in refusal.facts["reasons"]}.isdisjoint(
            {"neighbour_not_told", "notice_not_given"}
        )
    return True


@pytest.fixture
def pennsylvania(cast, plan):
    """Let the rule of Pennsylvania hold: 7 Pa. Code 128.112 (a), Pennsylvania Code."""
    cast.coordinator.does("property", "amend", id=plan.property, jurisdiction="US-PA")
    told = {"region": "US-PA", "source": "7 Pa. Code 128.112 (a)", "method": "", "carrier": ""}
    limit(cast.coordinator, what="notice_before", low="12", high="72", unit="h", **told)
    limit(cast.coordinator, what="notice_distance", low="", high="500", unit="ft", **told)
    return plan


def neighbour(cast, plan, feet="500", **values):
    far = {"distance": {"value": feet, "unit": "ft"}} if feet else {}
    return notice(cast.coordinator, plan.property, **{"registered": True} | far | values)


@pytest.mark.parametrize(
    ("told_at", "stands"),
    [
        ("2027-06-28T08:59:59-05:00", False),
        ("2027-06-28T09:00:00-05:00", True),
        ("2027-06-30T21:00:00-05:00", True),
        ("2027-06-30T21:00:01-05:00", False),
    ],
)
def test_a_registered_neighbour_is_told_12_to_72_hours_before(cast, pennsylvania, told_at, stands):
    after_all = datetime(2027, 7, 1, 13, 0, tzinfo=UTC)
    tells(cast.coordinator, neighbour(cast, pennsylvania), told_at, entered_at=after_all)

    assert confirmed_at(pennsylvania, after_all) is stands


@pytest.mark.parametrize(
    ("at", "stands"),
    [(datetime(2027, 6, 28, 13, 59, tzinfo=UTC), True), (datetime(2027, 6, 28, 14, 0, tzinfo=UTC), False)],
)
def test_before_the_window_opens_nobody_can_be_told_and_the_day_is_not_refused_for_it(cast, pennsylvania, at, stands):
    neighbour(cast, pennsylvania)

    assert confirmed_at(pennsylvania, at) is stands


@pytest.mark.parametrize(
    ("feet", "more", "stands"),
    [("500", {}, False), ("500.01", {}, True), ("", {}, False), ("500", {"registered": None}, True)],
)
def test_it_is_registered_people_within_500_feet_who_are_told(cast, pennsylvania, feet, more, stands):
    neighbour(cast, pennsylvania, feet, **more)

    assert confirmed_at(pennsylvania, LATER) is stands


def test_an_attempt_that_reached_nobody_is_on_record_and_no_notice(cast, pennsylvania):
    id = neighbour(cast, pennsylvania)
    tells(cast.coordinator, id, "2027-06-30T09:00:00-05:00", told=False, entered_at=LATER)

    with pytest.raises(DayNotReady) as refused:
        pennsylvania.coordinator.does("work_day", "confirm", id=pennsylvania.id, at=LATER)

    (reason,) = refused.value.facts["reasons"]
    assert "1 attempt on record" in reason["detail"]
    assert "Odile" not in reason["detail"], "a refusal names no neighbour: devices keep it"


def test_the_rule_of_one_state_is_nothing_to_another(cast, pennsylvania):
    neighbour(cast, pennsylvania)
    cast.coordinator.does("property", "amend", id=pennsylvania.property, jurisdiction="US-OH")

    assert confirmed_at(pennsylvania, LATER)


# -- permits --------------------------------------------------------------------------------------


def test_a_unit_that_takes_a_permit_is_refused_without_one(cast, plan):
    cast.coordinator.does("unit", "amend", id=plan.unit, needs_permit="waters")

    (reason,) = reasons(plan)

    assert (reason["code"], reason["where"]) == ("permit_missing", f"units/{plan.unit}")


@pytest.mark.parametrize(
    ("values", "stands"),
    [
        ({"valid_from": FIRST}, True),
        ({"valid_from": BEFORE_FIRST}, False),
        ({"valid_to": LAST}, True),
        ({"valid_to": AFTER_LAST}, False),
        ({"what": "burning"}, False),
    ],
)
def test_a_permit_holds_on_its_first_and_its_last_day_for_what_it_is_for(cast, plan, values, stands):
    cast.coordinator.does("unit", "amend", id=plan.unit, needs_permit="waters")
    permit(cast.coordinator, plan.property, **values)

    if stands:
        assert plan.does("confirm").state == "confirmed"
    else:
        assert codes(plan) == ["permit_missing"]


def test_a_permit_for_another_unit_or_property_is_none_here_and_one_without_a_property_is(cast, plan):
    cast.coordinator.does("unit", "amend", id=plan.unit, needs_permit="waters")
    other = cast.coordinator.does("unit", "create", property=plan.property, name="South").record.id
    elsewhere = cast.coordinator.does("property", "create", name="Fen Edge").record.id
    permit(cast.coordinator, plan.property, units=[str(other)])
    permit(cast.coordinator, elsewhere)
    assert codes(plan) == ["permit_missing"]

    permit(cast.coordinator, None)

    assert plan.does("confirm").state == "confirmed"


def test_a_sensitive_area_may_take_a_permit_and_of_an_unmapped_unit_nobody_knows_how_near_it_is(cast, plan):
    creek = {"type": "LineString", "coordinates": [[-88.1, 42.1], [-88.1, 42.2]]}
    area = {"name": "Heron Creek", "what": "water", "geometry": creek, "source": "The county's map of streams"}
    cast.coordinator.does("sensitive_area", "create", property=plan.property, needs_permit="waters", **area)

    (reason,) = reasons(plan)

    assert reason["code"] == "permit_missing"
    assert "no boundary on record" in reason["detail"]


# -- all at once ----------------------------------------------------------------------------------


def test_every_reason_is_told_at_once(cast):
    wants_permissions(cast)
    plan = Plan(cast.coordinator)
    plan.does("open")
    cast.coordinator.does("unit", "amend", id=plan.unit, needs_permit="waters")

    assert codes(plan) == ["applicator_missing", "permission_missing", "permit_missing"]


def test_a_confirmed_day_is_not_moved_out_of_its_permission(cast, plan):
    permission(cast.coordinator, plan.property, valid_to="2027-07-01")
    plan.does("confirm")

    moved = {"on_date": "2027-07-02", "starts_at": "2027-07-02T09:00:00-05:00", "ends_at": "2027-07-02T12:00:00-05:00"}
    refused = both_doors(cast.coordinator, sent("work_day", "amend", moved, id=plan.id))

    assert [each["code"] for each in refused.facts["reasons"]] == ["permission_missing"]


def test_days_of_a_push_are_judged_with_the_same_statements_however_many_they_are(cast, django_assert_max_num_queries):
    counts = {}
    for many in (1, 8):
        plans = [Plan(cast.coordinator).staffed(cast.volunteer) for _ in range(many)]
        for plan in plans:
            permission(cast.coordinator, plan.property, valid_to="2027-06-30")
        with django_assert_max_num_queries(200) as told:
            taken = cast.coordinator.pushes(*(sent("work_day", "confirm", id=plan.id) for plan in plans))
        assert {each["code"] for each in taken.results} == {"day_not_ready"}
        counts[many] = len(told)

    assert counts[1] == counts[8]
