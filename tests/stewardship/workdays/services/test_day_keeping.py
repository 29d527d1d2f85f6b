"""Waivers, briefings, signs, settled times and who leads: what is kept of a day beside the work."""

from datetime import datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.closeout.queries import what_is_open
from stewardship.errors import NotPermitted
from stewardship.workdays.due import signs_overdue
from stewardship.workdays.models import Attendance, BriefingSignature, Posting
from stewardship.workdays.queries import people_and_hours
from tests.cast import AT
from tests.planning import Plan, at
from tests.signing import agrees, waiver

pytestmark = pytest.mark.django_db

OUT = {"out_at": at("12:00"), "how_known": "measured"}


@pytest.fixture
def opened(plan):
    plan.does("open")
    return plan


def open_codes(plan, someone=None):
    return [reason["code"] for reason in what_is_open((someone or plan.coordinator).actor, plan.day, AT)]


def codes(record):
    return [mark["code"] for mark in record.marks]


# -- waivers -----------------------------------------------------------------------------------------


def test_an_unsigned_waiver_is_warned_of_and_the_leaders_override_is_logged(
    opened, coordinator, volunteer, other_volunteer
):
    coordinator.does("group", "amend", id=coordinator.group_id, wants_waivers=True)
    waiver(coordinator)
    opened.leads(other_volunteer)

    came = opened.comes(volunteer)
    assert "waiver_missing" in codes(came)

    words = "Signed at the truck; the sheet is in the binder."
    other_volunteer.does("attendance", "admit", id=came.id, words=words)
    found = Attendance.objects.get(id=came.id)
    assert (found.admitted_words, found.admitted_by) == (words, other_volunteer.member)
    assert "waiver_missing" in codes(found), "the mark stays: it was so"


def test_a_leader_lets_somebody_in_at_once_with_words_and_nobody_else_does(
    opened, coordinator, volunteer, other_volunteer
):
    coordinator.does("group", "amend", id=coordinator.group_id, wants_waivers=True)
    waiver(coordinator)
    opened.leads(other_volunteer)

    with pytest.raises(NotPermitted):
        opened.comes(volunteer, admitted="I know them")
    came = opened.comes(other_volunteer, member=str(volunteer.member.id), admitted="I know them")

    assert (came.admitted_words, came.admitted_by_id) == ("I know them", other_volunteer.member.id)


def test_who_signed_the_waiver_is_not_marked_until_it_ends(opened, coordinator, volunteer, other_volunteer):
    coordinator.does("group", "amend", id=coordinator.group_id, wants_waivers=True)
    lasting, short = waiver(coordinator), waiver(coordinator, title="Tools", renewal="months", renew_months=1)
    for someone in (volunteer, other_volunteer):
        agrees(someone, lasting)
    agrees(volunteer, short)
    coordinator.does("consent_text", "retire", id=short)

    assert codes(opened.comes(volunteer)) == codes(opened.comes(other_volunteer)) == ["day_not_confirmed"]


def test_a_group_that_asks_for_no_waiver_marks_nobody(opened, coordinator, volunteer):
    waiver(coordinator)

    assert codes(opened.comes(volunteer)) == ["day_not_confirmed"]


# -- attendance --------------------------------------------------------------------------------------


def test_hours_are_the_sum_of_in_and_out_and_a_missing_check_out_is_listed_not_guessed(
    opened, volunteer, other_volunteer, coordinator
):
    opened.comes(volunteer, **OUT)
    opened.comes(coordinator, "10:15", out_at=at("11:00"), how_known="measured")
    opened.comes(other_volunteer, "9:30")

    found = people_and_hours(opened.day.property, opened.day.on_date, opened.day.on_date)

    assert (found.known, found.unknown) == (timedelta(hours=3, minutes=45), 1)
    missing = [r for r in what_is_open(coordinator.actor, opened.day, AT) if r["code"] == "not_checked_out"]
    assert [reason["where"] for reason in missing] == [f"members/{other_volunteer.member.id}"]


def test_who_cannot_be_asked_is_settled_by_an_estimate_under_a_name(opened, volunteer, other_volunteer):
    opened.leads(other_volunteer)
    came = opened.comes(volunteer)

    other_volunteer.does("attendance", "settle", id=came.id, out_at=at("12:15"), words="left about 12:15")

    found = Attendance.objects.get(id=came.id)
    assert (found.how_known, found.settled_by, found.settled_words) == (
        "estimated", other_volunteer.member, "left about 12:15",
    )  # fmt: skip
    assert found.out_at == datetime.fromisoformat(at("12:15"))


def test_a_leader_of_the_day_checks_others_out_and_a_leader_of_another_day_does_not(opened, cast):
    came = opened.comes(cast.volunteer)
    elsewhere = Plan(cast.coordinator)
    elsewhere.does("open")
    elsewhere.leads(cast.other_volunteer)

    for op, told in (("check_out", OUT), ("settle", {"out_at": at("12:00"), "words": "seen off"})):
        with pytest.raises(NotPermitted):
            cast.other_volunteer.does("attendance", op, id=came.id, **told)

    opened.leads(cast.other_volunteer)
    cast.other_volunteer.does("attendance", "check_out", id=came.id, **OUT)
    assert Attendance.objects.get(id=came.id).out_at


def test_who_withdrew_as_leader_leads_no_more(opened, volunteer, other_volunteer):
    came = opened.comes(volunteer)
    sign_up = opened.signs_up(other_volunteer, opened.duty("leader"))
    other_volunteer.does("sign_up", "withdraw", id=sign_up)

    with pytest.raises(NotPermitted):
        other_volunteer.does("attendance", "check_out", id=came.id, **OUT)


# -- briefings ---------------------------------------------------------------------------------------


def brief(someone, plan, **values):
    return someone.does("briefing", "create", work_day=plan.id, held_at=at("9:05"), **values).record.id


def signs(someone, briefing, hour="9:10", **values):
    return someone.does("briefing_signature", "create", briefing=briefing, signed_at=at(hour), **values).record.id


def test_who_comes_late_signs_their_own_line_and_the_unsigned_are_on_the_close_out_list(
    opened, coordinator, volunteer, other_volunteer
):
    for someone, hour in ((coordinator, "9:00"), (volunteer, "9:00"), (other_volunteer, "10:30")):
        opened.comes(someone, hour, out_at=at("12:00"), how_known="measured")
    briefing = brief(coordinator, opened)
    signs(coordinator, briefing)
    assert open_codes(opened).count("briefing_not_signed") == 2

    signs(other_volunteer, briefing, "10:35")

    late = BriefingSignature.objects.get(member=other_volunteer.member)
    assert (late.signed_at, late.entered_by, late.sheet) == (
        datetime.fromisoformat(at("10:35")), other_volunteer.person, "",
    )  # fmt: skip
    unsigned = [r for r in what_is_open(coordinator.actor, opened.day, AT) if r["code"] == "briefing_not_signed"]
    assert [(r["where"], r["detail"]) for r in unsigned] == [
        (f"members/{volunteer.member.id}", "Tobias Quill has not signed the briefing.")
    ]


@pytest.mark.needs_postgresql
def test_who_signs_holds_the_day_so_that_it_is_not_closed_meanwhile(opened, coordinator, volunteer):
    briefing = brief(coordinator, opened)

    with CaptureQueriesContext(connection) as told:
        signs(volunteer, briefing)

    assert any('FROM "workdays_workday"' in q["sql"] and "FOR NO KEY UPDATE" in q["sql"] for q in told)


def test_a_leader_enters_a_sheet_that_was_signed_and_nobody_signs_for_another(
    opened, coordinator, volunteer, other_volunteer
):
    briefing = brief(coordinator, opened)
    other = str(volunteer.member.id)

    with pytest.raises(NotPermitted):
        signs(coordinator, briefing, member=other)
    with pytest.raises(NotPermitted):
        signs(other_volunteer, briefing, member=other, sheet="clipboard")
    opened.leads(other_volunteer)
    id = signs(other_volunteer, briefing, member=other, sheet="Clipboard, sheet 1")

    assert BriefingSignature.objects.get(id=id).sheet == "Clipboard, sheet 1"


def test_a_line_under_a_briefing_that_was_voided_counts_no_more(opened, coordinator, volunteer):
    opened.comes(volunteer, **OUT)
    briefing = brief(coordinator, opened)
    signs(volunteer, briefing)
    again = brief(coordinator, opened)
    coordinator.does("briefing", "void", id=briefing, reason="another day's")

    assert "briefing_not_signed" in open_codes(opened)
    signs(volunteer, again)
    assert "briefing_not_signed" not in open_codes(opened)


def test_a_group_that_wants_briefings_misses_one_that_was_not_held(opened, coordinator, volunteer):
    opened.comes(volunteer, **OUT)
    assert "briefing_missing" not in open_codes(opened)

    coordinator.does("group", "amend", id=coordinator.group_id, wants_briefings=True)

    assert "briefing_missing" in open_codes(opened)


# -- signs -------------------------------------------------------------------------------------------


def put_up(someone, plan, **values):
    told = {"property": plan.property, "work_day": plan.id, "text": "Keep off until dry", "put_up_at": at("9:00")}
    return someone.does("posting", "create", **told | values).record.id


def test_a_sign_that_stands_after_its_time_is_overdue_at_home_and_keeps_the_day_open(opened, volunteer):
    sign = put_up(volunteer, opened, due_down_at=at("9:00", "2027-07-02"))
    due = datetime.fromisoformat(at("9:00", "2027-07-02"))

    assert signs_overdue(volunteer.group_id, due) == []
    assert [each.id for each in signs_overdue(volunteer.group_id, due + timedelta(seconds=1))] == [sign]
    assert "sign_still_up" in open_codes(opened), "it stands, whether it is due or not"

    volunteer.does("posting", "take_down", id=sign, taken_down_at=at("10:00", "2027-07-02"))
    volunteer.does("posting", "take_down", id=sign, taken_down_at=at("10:00", "2027-07-02"))

    assert signs_overdue(volunteer.group_id, due + timedelta(days=9)) == []
    assert "sign_still_up" not in open_codes(opened)
    found = Posting.objects.get(id=sign)
    assert (found.put_up_by, found.taken_down_by) == (volunteer.member, volunteer.member)


def test_a_sign_that_was_entered_by_mistake_keeps_nothing_open(opened, volunteer):
    sign = put_up(volunteer, opened, due_down_at=at("10:00"))
    volunteer.does("posting", "void", id=sign, reason="meant for another place")

    assert "sign_still_up" not in open_codes(opened)
    assert signs_overdue(volunteer.group_id, AT + timedelta(days=999)) == []
