"""Each reminder goes out exactly once: at each lead, on the day, then to a second coordinator.

A credential's last day counts (common practice, no source); what is due when is reckoned here by hand from calendars.
"""

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest

from stewardship.jobs.models import Job, State
from stewardship.notices.models import Notice
from stewardship.notices.services import reminders
from tests.cast import ZONE
from tests.planning import Plan, licence
from tests.reminding import local, through, told, workers

# -- when


def test_holder_and_coordinators_are_reminded_at_each_lead_and_on_the_day_then_a_second_one(cast, second, mailoutbox):
    licence(cast.coordinator, cast.volunteer, "2027-06-30")

    for day in ("2027-04-01", "2027-05-01", "2027-05-31", "2027-06-23", "2027-06-30", "2027-07-01"):
        before = (date.fromisoformat(day) - timedelta(days=1)).isoformat()
        workers(local(before, 23))
        workers(local(day))
    through("2027-07-02", "2027-07-04")

    assert told(cast.volunteer) == ["90", "60", "30", "7", "0"]
    assert told(cast.coordinator) == ["90", "60", "30", "7", "0"]
    assert told(second) == ["90", "60", "30", "7", "0", "escalated"]
    days = {n.made_at.astimezone(ZoneInfo(ZONE)).date().isoformat() for n in Notice.objects.all()}
    assert days == {"2027-04-01", "2027-05-01", "2027-05-31", "2027-06-23", "2027-06-30", "2027-07-01"}
    assert [len([m for m in mailoutbox if m.to == [p.person.email]]) for p in (cast.volunteer, second)] == [5, 6]


def test_run_twice_the_same_day_it_is_one_message(cast, mailoutbox):
    licence(cast.coordinator, cast.volunteer, "2027-06-30")

    for hour in (7, 7, 10, 23):
        workers(local("2027-05-31", hour))
        for job in Job.objects.filter(kind=reminders.KIND, state=State.DONE):
            Job.objects.filter(id=job.id).update(state=State.QUEUED, finished_at=None, attempts=0)

    assert told(cast.volunteer) == ["30"]
    assert len([m for m in mailoutbox if m.to == [cast.volunteer.person.email]]) == 1


def test_twenty_that_end_are_one_mail(cast, mailoutbox):
    for i in range(20):
        licence(cast.coordinator, cast.volunteer, "2027-06-30", number=f"N-{i}", covers="saw")

    workers(local("2027-05-31"))

    mine = [m for m in mailoutbox if m.to == [cast.volunteer.person.email]]
    assert len(mine) == 1
    assert mine[0].subject.endswith("(and 19 more)")
    assert all(f"N-{i} ends on Wednesday 30 June 2027\n" in mine[0].body for i in range(20))


def test_of_missed_leads_the_nearest_is_told_and_a_clock_set_back_repeats_none(cast):
    licence(cast.coordinator, cast.volunteer, "2027-06-30")

    workers(local("2027-04-30"))
    assert told(cast.volunteer) == ["90"]
    workers(local("2027-06-25"))
    assert told(cast.volunteer) == ["90", "7"]
    workers(local("2027-05-31"))
    workers(local("2027-06-25"))

    assert told(cast.volunteer) == ["90", "7"]


def test_none_for_26_hours_over_the_last_day_loses_nothing(cast, second):
    licence(cast.coordinator, cast.volunteer, "2027-06-30")
    workers(local("2027-06-29", 23))
    workers(local("2027-06-29", 23) + timedelta(hours=26))

    assert told(cast.volunteer) == ["7", "0"]
    assert told(second) == ["7", "0", "escalated"]
    assert "ended on Wednesday 30 June 2027" in Notice.objects.filter(key__endswith=".0").first().subject


# -- what ends a reminder


def test_a_renewed_one_ends_them_and_has_its_own(cast, second):
    licence(cast.coordinator, cast.volunteer, "2027-06-30")
    through("2027-05-30", "2027-06-01")
    licence(cast.coordinator, cast.volunteer, "2029-06-30", issued_on="2027-06-02", received_on="2027-06-05")

    through("2027-06-20", "2027-07-03")

    assert told(cast.volunteer) == ["60", "30"]
    assert "escalated" not in told(second)


def test_one_that_is_not_in_hand_renews_nothing_and_that_is_said(cast, second):
    licence(cast.coordinator, cast.volunteer, "2027-06-30")
    licence(cast.coordinator, cast.volunteer, "2029-06-30", issued_on="2027-06-02", received_on=None)

    workers(local("2027-06-25"))
    workers(local("2027-07-01"))

    assert told(cast.volunteer) == ["7", "0"]
    assert told(second) == ["7", "0", "escalated"]
    mine = Notice.objects.filter(member_id=cast.volunteer.member.id).first()
    assert "A newer one is on record and does not count yet." in mine.text


@pytest.mark.parametrize("end", ["voided", "holder_left", "other_kind"])
def test_what_is_not_to_be_reminded_of(cast, end):
    id = licence(cast.coordinator, cast.volunteer, "2027-06-30")
    if end == "voided":
        cast.coordinator.does("credential", "void", id=id, reason="somebody else's card")
    elif end == "holder_left":
        cast.coordinator.does("member", "end", id=cast.volunteer.member.id)
    else:
        licence(cast.coordinator, cast.volunteer, "2029-06-30", covers="saw")

    workers(local("2027-06-25"))

    assert told(cast.volunteer) == (["7"] if end == "other_kind" else [])


def test_another_last_day_is_reminded_of_anew(cast):
    id = licence(cast.coordinator, cast.volunteer, "2027-06-30")
    workers(local("2027-06-25"))
    cast.coordinator.does("credential", "amend", id=id, expires_on="2027-07-02", reason="misread")
    workers(local("2027-06-25", 12))
    workers(local("2027-06-26"))

    assert told(cast.volunteer) == ["7", "7"]


# -- whom and as they wish


def test_own_leads_are_one_s_own_and_the_group_s_hold_for_the_rest(cast):
    cast.coordinator.does("group", "amend", id=cast.group.id, lead_days=[60, 7])
    cast.volunteer.does("notification_settings", "create", lead_days=[30])
    licence(cast.coordinator, cast.volunteer, "2027-06-30")

    through("2027-04-28", "2027-06-29")

    assert told(cast.volunteer) == ["30"]
    assert told(cast.coordinator) == ["60", "7"]


def test_it_comes_to_the_coordinator_chosen_after_the_days_chosen_and_once(cast, second):
    cast.coordinator.does("member", "amend", id=cast.former.member.id, role="coordinator")
    cast.coordinator.does("member", "reinstate", id=cast.former.member.id)
    third = cast.former.read_again()
    cast.coordinator.does("group", "amend", id=cast.group.id, second_coordinator=third.member.id, escalate_after_days=3)
    licence(cast.coordinator, cast.volunteer, "2027-06-30")

    through("2027-06-30", "2027-07-02")
    assert "escalated" not in told(third)
    workers(local("2027-07-03"))
    cast.coordinator.does("group", "amend", id=cast.group.id, second_coordinator=second.member.id)
    through("2027-07-04", "2027-07-06")

    assert told(third)[-1] == "escalated"
    assert "escalated" not in told(second)


def test_who_holds_it_is_not_the_one_it_comes_to(cast, second):
    licence(cast.coordinator, second, "2027-06-30")

    through("2027-06-30", "2027-07-01")

    assert told(second) == ["0"]
    assert told(cast.coordinator) == ["0", "escalated"]


# -- what it says


def test_a_lapse_before_a_day_it_is_needed_for_is_said_in_words(cast):
    plan = Plan(cast.coordinator).staffed(cast.volunteer)
    card = cast.volunteer.member.credentials.get()
    cast.coordinator.does("credential", "amend", id=card.id, expires_on="2027-06-30", reason="misread")

    workers(local("2027-06-23"))

    mine = Notice.objects.get(member_id=cast.volunteer.member.id)
    theirs = Notice.objects.get(member_id=cast.coordinator.member.id)
    day = "signed up as applicator for “Buckthorn at Heron Bend”."
    assert f"It ends before Thursday 1 July 2027, when you are {day}" in mine.text
    assert f"It ends before Thursday 1 July 2027, when Tobias Quill is {day}" in theirs.text
    assert plan.day.state == "open"


def test_one_that_lasts_over_the_day_says_nothing_of_it(cast):
    Plan(cast.coordinator).staffed(cast.volunteer, "2027-07-01")

    workers(local("2027-06-25"))

    assert "It ends before" not in Notice.objects.get(member_id=cast.volunteer.member.id).text
