"""Who is told of a work day the day before, and who is asked for its totals afterwards."""

from zoneinfo import ZoneInfo

import pytest

from stewardship.notices.models import Notice
from tests.cast import ZONE
from tests.ground import lay_out
from tests.planning import Plan, at
from tests.reminding import local, through, workers


@pytest.fixture
def ground(coordinator):
    """Lay out ground to work on."""
    return lay_out(coordinator)


def test_the_day_before_everybody_is_told_where_and_when_once(cast, mailoutbox):
    plan = Plan(
        cast.coordinator, meeting_point="The gate on Ferry Road", note="Dogs stay at home.", bring="Gloves and water",
        access="Park on the verge", hazards=[{"what": "poison_ivy", "note": "at the fence"}],
        leader_contact="555-0142", weather_decision_at=at("20:00", "2027-06-30"), capacity=2,
    )  # fmt: skip
    plan.staffed(cast.volunteer)
    leads = plan.duty("leader")
    plan.signs_up(cast.other_volunteer, leads)
    plan.takes(cast.coordinator, plan.duty("puller"))

    through("2027-06-29", "2027-06-30", hour=8)
    assert not Notice.objects.filter(kind="day_ahead").exists()
    workers(local("2027-06-30", 9))
    workers(local("2027-06-30", 12))

    mine = Notice.objects.get(member_id=cast.volunteer.member.id, kind="day_ahead")
    assert mine.subject == "Thursday 1 July 2027: Buckthorn at Heron Bend"
    for words in (
        "You are signed up as applicator.", "Thursday 1 July 2027, 09:00 to 12:30", "Heron Bend",
        "Meeting point: The gate on Ferry Road.", "Leader: Ines Carrowby, 555-0142.",
        "Wear and bring: Gloves and water.", "How to get there: Park on the verge", "poison ivy",
        "is decided by Wednesday 30 June 2027, 20:00.", "Dogs",
    ):  # fmt: skip
        assert words in mine.text
    assert len([m for m in mailoutbox if m.to == [cast.volunteer.person.email]]) == 1
    assert not Notice.objects.filter(member_id=cast.coordinator.member.id, kind="day_ahead").exists(), "still waits"


@pytest.mark.parametrize("change", ["withdrawn", "cancelled", "too_late"])
def test_nobody_is_told_of_a_day_that_they_do_not_go_to(cast, change):
    plan = Plan(cast.coordinator).staffed(cast.volunteer)
    when = local("2027-06-30", 10)
    if change == "withdrawn":
        sign_up = cast.volunteer.member.sign_ups.get()
        cast.volunteer.does("sign_up", "withdraw", id=sign_up.id)
    elif change == "cancelled":
        plan.does("cancel", reason="storm")
    else:
        when = local("2027-07-01", 9)

    workers(when)

    assert not Notice.objects.filter(kind="day_ahead").exists()


def test_a_day_worked_without_totals_reminds_those_concerned_then_the_coordinator(cast, ground):
    plan = Plan(cast.coordinator).staffed(cast.volunteer)
    plan.signs_up(cast.other_volunteer, plan.duty("leader"))
    plan.does("confirm")
    plan.comes(cast.volunteer)

    def asked():
        found = Notice.objects.filter(kind="totals_missing").select_related("member").order_by("made_at", "id")
        return sorted((n.made_at.astimezone(ZoneInfo(ZONE)).day, n.member.display_name) for n in found)

    workers(local("2027-07-01", 23))
    workers(local("2027-07-02", 5))
    assert asked() == []
    through("2027-07-02", "2027-07-05")

    assert asked() == [(2, "Ines Carrowby"), (2, "Tobias Quill"), (3, "Maren Oduya")]


def test_a_day_with_lines_or_without_herbicide_asks_nobody(cast, ground):
    plan = Plan(cast.coordinator).staffed(cast.volunteer)
    plan.does("confirm")
    plan.comes(cast.volunteer)
    batch = ground.batch(mixed_at=at("9:00"), work_day=str(plan.id))
    session = ground.session(started_at=at("9:10"), work_day=str(plan.id), unit=str(plan.unit))
    ground.line(session, batch, "10")
    by_hand = Plan(cast.coordinator, herbicide_planned=False, title="Pulling")
    by_hand.does("open")
    by_hand.comes(cast.other_volunteer)

    through("2027-07-02", "2027-07-04")

    assert not Notice.objects.filter(kind="totals_missing").exists()
