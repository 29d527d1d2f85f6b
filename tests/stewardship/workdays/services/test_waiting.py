"""Places on a day are given in the order of the sign-ups: who finds none waits, and moves up."""

import pytest

from stewardship.accounts.models import Member
from stewardship.errors import NotPermitted, Unreadable
from stewardship.notices.models import Notice
from stewardship.workdays.models import SignUp
from stewardship.workdays.services.sign_ups import DutyDropped, LeaderIsNamed, SignUpClosed
from tests.cast import AT, sent
from tests.planning import Plan, at, licence

MORNING = AT.replace(month=7, day=1)
"""On the morning of the day itself."""


@pytest.fixture
def open_plan(coordinator):
    plan = Plan(coordinator, herbicide_planned=False)
    plan.does("open")
    return plan


def stands(id):
    return not SignUp.objects.get(id=id).is_waiting


def told(someone):
    return [notice.kind for notice in Notice.objects.filter(member_id=someone.member.id)]


# -- waiting ---------------------------------------------------------------------------------------


def test_who_signs_up_for_a_full_duty_waits(open_plan, volunteer, other_volunteer):
    duty = open_plan.duty("cutter")

    first, second = open_plan.takes(volunteer, duty), open_plan.takes(other_volunteer, duty)

    assert [stands(first), stands(second)] == [True, False]
    assert list(SignUp.objects.order_by("number").values_list("id", "number")) == [(first, 1), (second, 2)]


def test_who_withdraws_makes_room_for_who_waited_longest_and_they_are_told(
    open_plan, coordinator, volunteer, other_volunteer
):
    duty = open_plan.duty("cutter")
    first, second, third = (open_plan.takes(s, duty) for s in (volunteer, other_volunteer, coordinator))

    volunteer.does("sign_up", "withdraw", id=first)

    assert [stands(second), stands(third)] == [True, False]
    assert SignUp.objects.get(id=second).moved_up_at == AT
    assert (told(other_volunteer), told(coordinator)) == (["moved_up"], [])
    assert Notice.objects.get().path == f"/work-days/{open_plan.id}/"


def test_the_capacity_of_the_day_counts_over_all_duties(open_plan, coordinator, volunteer, other_volunteer):
    cutter, hauler = open_plan.duty("cutter", 5), open_plan.duty("hauler", 5)
    open_plan.does("amend", capacity=2)

    ids = [open_plan.takes(s, d) for s, d in ((volunteer, cutter), (other_volunteer, hauler), (coordinator, cutter))]
    assert [stands(id) for id in ids] == [True, True, False]

    other_volunteer.does("sign_up", "withdraw", id=ids[1])

    assert stands(ids[2])


def test_a_free_place_on_one_duty_is_nothing_to_who_waits_for_another(
    open_plan, coordinator, volunteer, other_volunteer
):
    cutter, hauler = open_plan.duty("cutter"), open_plan.duty("hauler")
    open_plan.takes(volunteer, cutter)
    waits = open_plan.takes(other_volunteer, cutter)

    coordinator.does("duty", "amend", id=hauler, wanted=4)

    assert not stands(waits)


@pytest.mark.parametrize("what", ["wanted", "capacity", "no capacity"])
def test_more_places_move_people_up(open_plan, coordinator, volunteer, other_volunteer, what):
    duty = open_plan.duty("cutter", 1 if what == "wanted" else 9)
    open_plan.does("amend", capacity=1)
    if what == "wanted":
        open_plan.does("amend", capacity=9)
    ids = [open_plan.takes(someone, duty) for someone in (volunteer, other_volunteer, coordinator)]

    if what == "wanted":
        coordinator.does("duty", "amend", id=duty, wanted=2)
    else:
        open_plan.does("amend", capacity=2 if what == "capacity" else None)

    assert [stands(id) for id in ids] == [True, True, what == "no capacity"]


def test_fewer_places_take_none_away(open_plan, coordinator, volunteer, other_volunteer):
    duty = open_plan.duty("cutter", 2)
    ids = [open_plan.takes(someone, duty) for someone in (volunteer, other_volunteer)]

    coordinator.does("duty", "amend", id=duty, wanted=1)
    open_plan.does("amend", capacity=1)

    assert [stands(id) for id in ids] == [True, True]


def test_who_waits_and_withdraws_is_off_the_list(open_plan, coordinator, volunteer, other_volunteer):
    duty = open_plan.duty("cutter")
    first, second, third = (open_plan.takes(s, duty) for s in (volunteer, other_volunteer, coordinator))

    other_volunteer.does("sign_up", "withdraw", id=second)
    volunteer.does("sign_up", "withdraw", id=first)

    assert stands(third)
    assert told(other_volunteer) == []


def test_who_withdrew_and_comes_back_stands_at_the_end(open_plan, coordinator, volunteer, other_volunteer):
    duty = open_plan.duty("cutter")
    first, second, third = (open_plan.takes(s, duty) for s in (volunteer, other_volunteer, coordinator))
    other_volunteer.does("sign_up", "withdraw", id=second)
    again = open_plan.takes(other_volunteer, duty)

    volunteer.does("sign_up", "withdraw", id=first)

    assert [stands(third), stands(again)] == [True, False]


# -- who may move up -------------------------------------------------------------------------------


def test_who_is_not_qualified_on_the_day_is_passed_over_and_the_reason_is_kept(
    plan, coordinator, volunteer, other_volunteer
):
    plan.does("open")
    duty = plan.duty()
    held = licence(coordinator, volunteer, "2027-12-31")
    for someone in (coordinator, other_volunteer):
        licence(coordinator, someone, "2027-12-31")
    first, second, third = (plan.takes(s, duty) for s in (coordinator, volunteer, other_volunteer))
    coordinator.does("credential", "amend", id=held, reason="read off the card", expires_on="2027-06-30")

    coordinator.does("sign_up", "withdraw", id=first)

    passed = SignUp.objects.get(id=second)
    assert [stands(second), stands(third)] == [False, True]
    assert [each["code"] for each in passed.passed_over] == ["credential_expired"]

    coordinator.does("credential", "amend", id=held, reason="it was renewed in time", expires_on="2028-06-30")
    coordinator.does("duty", "amend", id=duty, wanted=2)

    passed.refresh_from_db()
    assert (passed.is_waiting, passed.passed_over) == (False, [])


def test_who_left_the_group_does_not_move_up(open_plan, coordinator, volunteer, other_volunteer):
    duty = open_plan.duty("cutter")
    first, second, third = (open_plan.takes(s, duty) for s in (volunteer, other_volunteer, coordinator))
    coordinator.does("member", "end", id=other_volunteer.member.id)

    volunteer.does("sign_up", "withdraw", id=first)

    assert [stands(second), stands(third)] == [False, True]
    assert SignUp.objects.get(id=second).passed_over[0]["code"] == "member_left"


def test_a_new_sign_up_does_not_overtake_who_may_take_the_place_by_now(plan, coordinator, volunteer, other_volunteer):
    plan.does("open")
    duty = plan.duty()
    held = [licence(coordinator, someone, "2027-12-31") for someone in (coordinator, volunteer, other_volunteer)]
    first, second = plan.takes(coordinator, duty), plan.takes(volunteer, duty)
    coordinator.does("credential", "amend", id=held[1], reason="misread", expires_on="2027-06-30")
    coordinator.does("sign_up", "withdraw", id=first)
    assert not stands(second)
    coordinator.does("credential", "amend", id=held[1], reason="read again", expires_on="2027-12-31")

    third = plan.takes(other_volunteer, duty)

    assert [stands(second), stands(third)] == [True, False]


def test_nobody_is_moved_up_once_the_day_is_under_way(open_plan, volunteer, other_volunteer):
    duty = open_plan.duty("cutter")
    first, second = open_plan.takes(volunteer, duty), open_plan.takes(other_volunteer, duty)
    open_plan.does("confirm")
    open_plan.comes(other_volunteer)

    volunteer.does("sign_up", "withdraw", id=first)

    assert not stands(second)


def test_who_waits_counts_neither_for_confirming_nor_for_a_duty(plan, coordinator, volunteer):
    for someone in (coordinator, volunteer):
        licence(coordinator, someone, "2027-12-31")
    plan.does("open")
    duty = plan.duty()
    plan.takes(coordinator, duty)
    waits = plan.takes(volunteer, duty)
    cutter = plan.duty("cutter")
    plan.does("amend", capacity=1)

    assert not stands(waits)
    assert cutter
    coordinator.does("duty", "amend", id=cutter, wanted=0)
    assert plan.does("confirm").state == "confirmed"


# -- until when, and on the day ---------------------------------------------------------------------


def test_a_duty_that_is_dropped_takes_nobody(open_plan, coordinator, volunteer):
    duty = open_plan.duty("cutter")
    coordinator.does("duty", "amend", id=duty, wanted=0)

    with pytest.raises(DutyDropped, match="Nobody is wanted as cutter any more"):
        open_plan.takes(volunteer, duty)


def test_sign_up_closes_at_its_time_for_all_but_a_coordinator(open_plan, coordinator, volunteer, other_volunteer):
    duty = open_plan.duty("cutter", 3)
    open_plan.does("amend", sign_up_closes_at=AT.isoformat())
    assert open_plan.takes(volunteer, duty)

    open_plan.does("amend", sign_up_closes_at=AT.replace(minute=0, hour=14).isoformat())

    with pytest.raises(SignUpClosed):
        open_plan.takes(other_volunteer, duty)
    assert open_plan.takes(coordinator, duty)


def test_who_leads_the_day_puts_others_on_the_roster_on_the_day_itself(open_plan, volunteer, other_volunteer):
    duty = open_plan.duty("cutter", 5)
    open_plan.leads(volunteer)
    told = {"work_day": open_plan.id, "duty": duty}

    with pytest.raises(NotPermitted):
        volunteer.does("sign_up", "create", **told, member=other_volunteer.member.id)
    theirs = volunteer.does("sign_up", "create", **told, member=other_volunteer.member.id, at=MORNING)
    drop_in = volunteer.does("sign_up", "create", **told, drop_in="Perrin Lowe", at=MORNING)

    assert theirs.record.member_id == other_volunteer.member.id
    joined = Member.objects.select_related("person").get(id=drop_in.record.member_id)
    assert (joined.display_name, joined.role, joined.person.email) == ("Perrin Lowe", "volunteer", None)
    assert not joined.person.has_usable_password()


def test_nobody_makes_themselves_the_leader_who_sees_whom_to_call(open_plan, coordinator, volunteer, other_volunteer):
    lead, team = open_plan.duty("leader", 2), open_plan.duty("team_leader")
    on_team = open_plan.takes(volunteer, team)
    for at_time in (AT, MORNING):
        with pytest.raises(LeaderIsNamed, match="A coordinator says who leads"):
            other_volunteer.does("sign_up", "create", work_day=open_plan.id, duty=lead, at=at_time)
    volunteer.does("sign_up", "withdraw", id=on_team)
    with pytest.raises(LeaderIsNamed):
        open_plan.takes(volunteer, lead)

    open_plan.does("amend", leader=volunteer.member.id)

    assert stands(open_plan.takes(volunteer, lead))
    assert stands(open_plan.takes(coordinator, lead))


def test_nobody_else_brings_a_drop_in(open_plan, volunteer, coordinator):
    told = {"work_day": open_plan.id, "duty": open_plan.duty("cutter"), "drop_in": "Perrin Lowe"}

    with pytest.raises(NotPermitted):
        volunteer.does("sign_up", "create", **told, at=MORNING)
    with pytest.raises(Unreadable):
        coordinator.does("sign_up", "create", **told, member=volunteer.member.id)
    assert not Member.objects.filter(display_name="Perrin Lowe").exists()
    assert coordinator.does("sign_up", "create", **told).record


def test_a_waiting_list_comes_the_same_through_a_push(open_plan, volunteer, other_volunteer):
    duty = open_plan.duty("cutter")
    wish = {"work_day": str(open_plan.id), "duty": str(duty)}
    first = open_plan.takes(volunteer, duty)

    [result] = other_volunteer.pushes(sent("sign_up", "create", wish)).results
    volunteer.pushes(sent("sign_up", "withdraw", id=first))

    assert (result["outcome"], stands(result["id"])) == ("applied", True)


def test_times_of_a_plan_are_kept(open_plan):
    day = open_plan.does("amend", weather_decision_at=at("18:00", "2027-06-30"), sign_up_closes_at=at("9:00"))

    assert day.weather_decision_at.isoformat() == "2027-06-30T23:00:00+00:00"
