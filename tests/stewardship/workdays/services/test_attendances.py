"""People check in and out: facts, recorded and flagged; refused is only what cannot be true."""

from datetime import date

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from stewardship.errors import AlreadyVoided, NotPermitted, ReasonMissing, Unavailable, Unreadable
from stewardship.journal.ids import new_id
from stewardship.journal.models import Revision
from stewardship.workdays.models import Attendance
from stewardship.workdays.services.attendances import (
    AlreadyIn,
    AlreadyOut,
    AttendanceOverlaps,
    HowKnownMissing,
    OutBeforeIn,
)
from stewardship.workdays.states import StateWrong
from tests.cast import sent
from tests.planning import at

OUT = {"out_at": at("12:00"), "how_known": "measured"}


def codes(record):
    return [mark["code"] for mark in record.marks]


# -- in and out ------------------------------------------------------------------------------------


def test_a_check_in_without_a_check_out_leaves_the_hours_unknown(confirmed, volunteer):
    came = confirmed.comes(volunteer)

    assert (came.member_id, came.on_date, came.out_at, came.how_known) == (
        volunteer.member.id, date(2027, 7, 1), None, "",
    )  # fmt: skip
    assert came.marks == []


def test_a_member_checks_out(confirmed, volunteer):
    came = confirmed.comes(volunteer)

    volunteer.does("attendance", "check_out", id=came.id, **OUT)

    assert Attendance.objects.get().how_known == "measured"


def test_a_sheet_is_typed_with_both_times_at_once(confirmed, coordinator, volunteer):
    confirmed.comes(coordinator, member=volunteer.member.id, age_class="staff", **OUT)

    came = Attendance.objects.get()
    assert (came.member_id, came.age_class, came.how_known) == (volunteer.member.id, "staff", "measured")


def test_a_member_may_come_back_the_same_day(confirmed, volunteer):
    confirmed.comes(volunteer, **OUT)

    assert confirmed.comes(volunteer, "12:00")


def test_the_first_check_in_sets_a_confirmed_day_under_way_in_the_same_entry(confirmed, volunteer):
    confirmed.comes(volunteer)

    assert confirmed.day.state == "under_way"
    newest = Revision.objects.order_by("-seq")[:2]
    assert {r.kind for r in newest} == {"work_day", "attendance"}
    assert len({r.mid for r in newest}) == 1


def test_an_open_day_is_not_begun_by_a_check_in_but_flags_it(plan, volunteer):
    plan.does("open")

    came = plan.comes(volunteer)

    assert codes(came) == ["day_not_confirmed"]
    assert plan.day.state == "open"


def test_late_sheets_are_typed_after_the_day_is_done(confirmed, volunteer, coordinator):
    confirmed.comes(coordinator)
    confirmed.does("finish")

    assert confirmed.comes(volunteer, **OUT)


# -- refused ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("values", [{"out_at": at("12:00")}, {"how_known": "measured"}])
def test_a_check_out_always_says_how_it_is_known(confirmed, volunteer, values):
    with pytest.raises(Unreadable, match="measured or estimated"):
        confirmed.comes(volunteer, **values)


def test_a_check_out_before_the_check_in_is_refused(confirmed, volunteer):
    came = confirmed.comes(volunteer)

    for attempt in (
        lambda: volunteer.does("attendance", "check_out", id=came.id, **OUT | {"out_at": at("8:59")}),
        lambda: volunteer.does("attendance", "amend", id=came.id, reason="x", **OUT | {"out_at": at("8:59")}),
        lambda: confirmed.comes(volunteer, "13:00", **OUT),
    ):
        with pytest.raises(OutBeforeIn) as refused:
            attempt()
        assert refused.value.code == "out_before_in"


def test_a_member_is_not_checked_in_twice_at_once(confirmed, volunteer):
    confirmed.comes(volunteer)

    with pytest.raises(AlreadyIn):
        confirmed.comes(volunteer, "9:30")


def test_nor_twice_in_one_push(confirmed, volunteer):
    come = {"work_day": str(confirmed.id), "in_at": at("9:00")}

    taken = volunteer.pushes(sent("attendance", "create", come), sent("attendance", "create", come))

    assert [r.get("code", r["outcome"]) for r in taken.results] == ["applied", "already_in"]
    assert Attendance.objects.count() == 1


@pytest.mark.parametrize(("hour", "out"), [("8:00", "9:01"), ("11:59", "14:00"), ("10:00", "11:00"), ("8:00", "13:00")])
def test_nobodys_time_counts_twice(confirmed, volunteer, hour, out):
    confirmed.comes(volunteer, **OUT)

    with pytest.raises(AttendanceOverlaps):
        confirmed.comes(volunteer, hour, out_at=at(out), how_known="estimated")


def test_a_check_out_may_not_run_into_time_that_is_recorded(confirmed, volunteer):
    came = confirmed.comes(volunteer)
    with pytest.raises(AttendanceOverlaps):
        confirmed.comes(volunteer, "13:00", out_at=at("15:00"), how_known="measured")
    confirmed.comes(volunteer, "8:00", out_at=at("9:00"), how_known="measured")

    with pytest.raises(AttendanceOverlaps):
        volunteer.does("attendance", "amend", id=came.id, reason="earlier", in_at=at("8:30"))


def test_a_check_out_is_made_once_and_corrected_after_that(confirmed, volunteer):
    came = confirmed.comes(volunteer, **OUT)
    assert volunteer.does("attendance", "check_out", id=came.id, **OUT).result["outcome"] == "noop"

    with pytest.raises(AlreadyOut):
        volunteer.does("attendance", "check_out", id=came.id, **OUT | {"out_at": at("12:15")})


def test_a_cancelled_or_closed_day_takes_no_check_in_and_no_change_of_one(plan, volunteer, coordinator):
    plan.does("open")
    came = plan.comes(volunteer, **OUT)
    plan.does("finish", "close")

    for op, values in (("amend", {"age_class": "staff"}), ("void", {})):
        with pytest.raises(StateWrong):
            volunteer.does("attendance", op, id=came.id, reason="late", **values)
    with pytest.raises(StateWrong, match="This work day is closed"):
        plan.comes(coordinator)


def test_a_cancelled_day_takes_no_check_in(plan, volunteer):
    plan.does("cancel", reason="storm")

    with pytest.raises(StateWrong):
        plan.comes(volunteer)


def test_a_day_or_a_member_of_another_group_is_unavailable(confirmed, volunteer, stranger):
    with pytest.raises(Unavailable):
        confirmed.comes(stranger)
    with pytest.raises(Unavailable):
        confirmed.comes(volunteer, member=stranger.member.id)


def test_a_reviewer_records_no_attendance(confirmed, reviewer):
    with pytest.raises(NotPermitted):
        confirmed.comes(reviewer)


# -- who ends and corrects it ----------------------------------------------------------------------


def test_the_member_who_entered_it_and_a_coordinator_may_check_out(confirmed, cast):
    told = {"member": cast.other_volunteer.member.id}

    for someone, hour in ((cast.other_volunteer, "9:00"), (cast.volunteer, "10:00"), (cast.coordinator, "11:00")):
        came = confirmed.comes(cast.volunteer, hour, **told)
        ends = {"out_at": at(hour.replace(":00", ":30")), "how_known": "measured"}
        assert someone.does("attendance", "check_out", id=came.id, **ends).result["outcome"] == "applied"


def test_anybody_else_may_not(confirmed, volunteer, other_volunteer):
    came = confirmed.comes(other_volunteer)

    with pytest.raises(NotPermitted):
        volunteer.does("attendance", "check_out", id=came.id, **OUT)
    for op, values in (("amend", {"age_class": "staff"}), ("void", {})):
        with pytest.raises(NotPermitted):
            volunteer.does("attendance", op, id=came.id, reason="x", **values)


def test_a_correction_needs_a_reason(confirmed, volunteer):
    came = confirmed.comes(volunteer)

    for op in ("amend", "void"):
        with pytest.raises(ReasonMissing):
            volunteer.does("attendance", op, id=came.id)


def test_a_time_of_leaving_that_nobody_knows_is_estimated_by_the_coordinator(confirmed, volunteer, coordinator):
    came = confirmed.comes(volunteer)

    ends = {"out_at": at("12:15"), "how_known": "estimated"}
    coordinator.does("attendance", "amend", id=came.id, reason="left about 12:15", **ends)

    assert Attendance.objects.get().how_known == "estimated"


def test_a_check_out_that_was_wrong_is_taken_back(confirmed, volunteer):
    came = confirmed.comes(volunteer, **OUT)

    volunteer.does("attendance", "amend", id=came.id, reason="still here", out_at=None)

    found = Attendance.objects.get()
    assert (found.out_at, found.how_known) == (None, "")


def test_how_it_is_known_does_not_vanish_while_the_time_stands(confirmed, volunteer):
    came = confirmed.comes(volunteer, **OUT)

    with pytest.raises(HowKnownMissing):
        volunteer.does("attendance", "amend", id=came.id, reason="x", how_known=None)


def test_a_voided_attendance_counts_for_nothing_and_is_not_changed(confirmed, volunteer):
    came = confirmed.comes(volunteer)
    volunteer.does("attendance", "void", id=came.id, reason="wrong day")
    assert volunteer.does("attendance", "void", id=came.id, reason="again").result["outcome"] == "noop"

    with pytest.raises(AlreadyVoided):
        volunteer.does("attendance", "check_out", id=came.id, **OUT)
    assert confirmed.comes(volunteer)


# -- cost and walls --------------------------------------------------------------------------------


def cost(someone, mutations):
    with CaptureQueriesContext(connection) as queries:
        taken = someone.pushes(*mutations)
    assert {result["outcome"] for result in taken.results} == {"applied"}
    return len(queries)


def test_a_push_of_check_ins_and_one_of_check_outs_cost_the_same_statements_for_1_and_30(confirmed, coordinator):
    confirmed.comes(coordinator)
    names = [f"Helper {number}" for number in range(31)]
    people = [coordinator.does("member", "create", display_name=n, role="volunteer").record.id for n in names]
    ids = [new_id() for _ in people]
    come = {"work_day": str(confirmed.id), "in_at": at("9:00")}
    ins = [
        sent("attendance", "create", come | {"id": str(id), "member": str(member)})
        for id, member in zip(ids, people, strict=True)
    ]
    outs = [sent("attendance", "check_out", OUT, id=id) for id in ids]

    assert cost(coordinator, ins[:1]) == cost(coordinator, ins[1:])
    assert cost(coordinator, outs[:1]) == cost(coordinator, outs[1:])


@pytest.mark.parametrize(
    ("change", "constraint"),
    [
        ({"out_at": at("8:00")}, "a_check_out_follows"),
        ({"how_known": ""}, "a_check_out_says"),
        ({"out_at": None}, "a_check_out_says"),
    ],
)
def test_the_database_takes_no_impossible_time(confirmed, volunteer, change, constraint):
    confirmed.comes(volunteer, **OUT)

    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        Attendance.objects.update(**change)
