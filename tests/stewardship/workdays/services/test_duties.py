"""Duties are laid out; members sign up for them and withdraw."""

import pytest
from django.db import IntegrityError, transaction

from stewardship.errors import NotPermitted, Unavailable, Unreadable
from stewardship.workdays.models import Duty, SignUp
from stewardship.workdays.reasons import NotQualified
from stewardship.workdays.services.sign_ups import AlreadySignedUp, DutyElsewhere, MemberLeft
from stewardship.workdays.states import StateWrong
from tests.cast import sent
from tests.planning import Plan, licence


@pytest.fixture
def open_plan(plan):
    plan.does("open")
    return plan


# -- duties ----------------------------------------------------------------------------------------


def test_a_duty_is_laid_out_and_corrected(plan, coordinator):
    id = plan.duty("hauler", 4, minimum_age=14)

    coordinator.does("duty", "amend", id=id, wanted=6, minimum_age=None)

    duty = Duty.objects.get(id=id)
    assert (str(duty), duty.wanted, duty.minimum_age) == ("hauler", 6, None)


def test_an_other_duty_says_in_words_what_it_is(plan):
    assert str(Duty.objects.get(id=plan.duty("other", other_name="cook"))) == "cook"


@pytest.mark.parametrize(
    "values",
    [{"name": "other"}, {"name": "other", "other_name": "  "}, {"name": "cutter", "other_name": "cook"}],
)
def test_a_name_in_words_belongs_to_an_other_duty_alone(plan, values):
    with pytest.raises(Unreadable, match="other_name"):
        plan.duty(**values)


@pytest.mark.parametrize("values", [{"name": "boss"}, {"wanted": 0}, {"wanted": 1001}, {"minimum_age": -1}])
def test_a_duty_that_cannot_be_read_is_refused_with_its_place(plan, values):
    with pytest.raises(Unreadable) as refused:
        plan.duty(**values)

    assert [error["pointer"] for error in refused.value.facts["errors"]] == [f"/{name}" for name in values]


def test_only_a_coordinator_lays_out_duties(plan, volunteer):
    with pytest.raises(NotPermitted):
        volunteer.does("duty", "create", work_day=plan.id, name="cutter", wanted=1)


def test_a_cancelled_day_takes_no_duty_and_no_change_of_one(plan, coordinator):
    id = plan.duty()
    plan.does("cancel", reason="storm")

    with pytest.raises(StateWrong):
        plan.duty("cutter")
    with pytest.raises(StateWrong):
        coordinator.does("duty", "amend", id=id, wanted=2)


def test_the_database_takes_no_name_in_words_for_a_named_duty(plan):
    plan.duty("cutter")

    with pytest.raises(IntegrityError, match="only_an_other_duty"), transaction.atomic():
        Duty.objects.update(other_name="cook")


# -- sign-ups --------------------------------------------------------------------------------------


def test_a_volunteer_signs_up_for_a_duty(open_plan, volunteer):
    id = open_plan.takes(volunteer, open_plan.duty("cutter"))

    assert SignUp.objects.get(id=id).member_id == volunteer.member.id


def test_a_coordinator_signs_others_up_and_withdraws_them(open_plan, coordinator, volunteer):
    told = {"work_day": open_plan.id, "duty": open_plan.duty("cutter"), "member": volunteer.member.id}
    made = coordinator.does("sign_up", "create", **told).record

    coordinator.does("sign_up", "withdraw", id=made.id)

    assert SignUp.objects.get(id=made.id).withdrawn_at


def test_a_volunteer_withdraws_what_a_coordinator_entered_for_them(open_plan, coordinator, volunteer):
    told = {"work_day": open_plan.id, "duty": open_plan.duty("cutter"), "member": volunteer.member.id}
    made = coordinator.does("sign_up", "create", **told).record

    assert volunteer.does("sign_up", "withdraw", id=made.id).result["outcome"] == "applied"
    assert volunteer.does("sign_up", "withdraw", id=made.id).result["outcome"] == "noop"


def test_a_volunteer_neither_signs_others_up_nor_withdraws_them(open_plan, volunteer, other_volunteer):
    duty = open_plan.duty("cutter", 2)
    theirs = open_plan.takes(other_volunteer, duty)

    with pytest.raises(NotPermitted):
        volunteer.does("sign_up", "withdraw", id=theirs)
    with pytest.raises(NotPermitted):
        volunteer.does("sign_up", "create", work_day=open_plan.id, duty=duty, member=other_volunteer.member.id)


def test_a_reviewer_does_not_sign_up(open_plan, reviewer):
    with pytest.raises(NotPermitted):
        open_plan.takes(reviewer, open_plan.duty("cutter"))


def test_a_member_signs_up_once_for_a_day_and_again_after_withdrawing(open_plan, volunteer):
    cutter, hauler = open_plan.duty("cutter"), open_plan.duty("hauler")
    first = open_plan.takes(volunteer, cutter)
    with pytest.raises(AlreadySignedUp) as refused:
        open_plan.takes(volunteer, hauler)
    assert refused.value.code == "already_signed_up"

    volunteer.does("sign_up", "withdraw", id=first)

    assert open_plan.takes(volunteer, hauler)


def test_a_device_withdraws_and_signs_up_for_another_duty_in_one_push(open_plan, volunteer):
    cutter, hauler = open_plan.duty("cutter"), open_plan.duty("hauler")
    first = open_plan.takes(volunteer, cutter)

    taken = volunteer.pushes(
        sent("sign_up", "withdraw", id=first),
        sent("sign_up", "create", {"work_day": str(open_plan.id), "duty": str(hauler)}),
        sent("sign_up", "create", {"work_day": str(open_plan.id), "duty": str(cutter)}),
    )

    assert [r.get("code", r["outcome"]) for r in taken.results] == ["applied", "applied", "already_signed_up"]
    assert [s.duty_id for s in SignUp.objects.filter(withdrawn_at=None)] == [hauler]


def test_a_duty_of_another_day_is_refused(open_plan, coordinator, volunteer):
    duty = Plan(coordinator).duty("cutter")

    with pytest.raises(DutyElsewhere):
        open_plan.takes(volunteer, duty)


def test_who_left_the_group_is_not_signed_up(open_plan, coordinator, former):
    told = {"work_day": open_plan.id, "duty": open_plan.duty("cutter"), "member": former.member.id}

    with pytest.raises(MemberLeft):
        coordinator.does("sign_up", "create", **told)


def test_a_day_and_a_duty_of_another_group_are_unavailable(open_plan, stranger):
    duty = open_plan.duty("cutter")

    with pytest.raises(Unavailable):
        open_plan.takes(stranger, duty)


@pytest.mark.parametrize("ops", [[], ["open", "cancel"]])
def test_nobody_signs_up_for_a_draft_or_a_cancelled_day(plan, volunteer, ops):
    duty = plan.duty("cutter")
    for op in ops:
        plan.does(op, **({"reason": "storm"} if op == "cancel" else {}))

    with pytest.raises(StateWrong):
        plan.takes(volunteer, duty)


def test_nobody_withdraws_from_a_day_that_is_done(open_plan, volunteer):
    id = open_plan.takes(volunteer, open_plan.duty("cutter"))
    open_plan.comes(volunteer)
    open_plan.does("finish")

    with pytest.raises(StateWrong):
        volunteer.does("sign_up", "withdraw", id=id)


# -- applicators -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("expires_on", "values", "code"),
    [
        ("2027-06-30", {}, "credential_expired"),
        ("2027-06-30", {"grace_days": 60}, "credential_in_grace"),
        ("2027-12-31", {"received_on": None}, "credential_pending"),
        ("2027-12-31", {"covers": "saw"}, "credential_missing"),
    ],
)
def test_nobody_is_planned_as_applicator_without_a_valid_credential(
    open_plan, coordinator, volunteer, expires_on, values, code
):
    licence(coordinator, volunteer, expires_on, **values)
    duty = open_plan.duty()

    with pytest.raises(NotQualified) as refused:
        open_plan.takes(volunteer, duty)

    [reason] = refused.value.facts["reasons"]
    assert (refused.value.code, reason["code"]) == ("not_qualified", code)
    assert reason["where"] == f"members/{volunteer.member.id}"
    assert reason["detail"] in str(refused.value)
    assert not SignUp.objects.exists()


def test_a_licence_that_ends_on_the_day_itself_counts(open_plan, coordinator, volunteer):
    licence(coordinator, volunteer, "2027-07-01")

    assert open_plan.takes(volunteer, open_plan.duty())


def test_the_same_holds_whoever_signs_the_applicator_up(open_plan, coordinator, volunteer):
    told = {"work_day": open_plan.id, "duty": open_plan.duty(), "member": volunteer.member.id}

    with pytest.raises(NotQualified):
        coordinator.does("sign_up", "create", **told)


def test_without_herbicide_an_applicator_needs_no_credential(open_plan, volunteer):
    open_plan.does("amend", herbicide_planned=False)

    assert open_plan.takes(volunteer, open_plan.duty())


def test_another_duty_needs_no_credential(open_plan, volunteer):
    assert open_plan.takes(volunteer, open_plan.duty("cutter"))
