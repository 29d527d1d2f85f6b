"""Each reminder goes out exactly once: at each lead, on the day, then to a second coordinator; whatever the clocks do.

A credential's last day counts (common practice, no source); what is due when is reckoned here by hand from calendars.
"""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.closeout.reminders import remind_group
from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job, State
from stewardship.notices.models import Letter, Notice
from stewardship.notices.services import letters, reminders
from tests.cast import ZONE, sent
from tests.concurrency import in_threads
from tests.ground import lay_out
from tests.planning import LICENCE, Plan, at, licence
from tests.signing import agrees, waiver
from tests.trainings import rule, trains

KINDS = {reminders.KIND: remind_group, letters.KIND: letters.send_letters}


def local(day, hour=7, zone=ZONE, minute=0):
    return datetime.combine(date.fromisoformat(day), datetime.min.time(), ZoneInfo(zone)).replace(
        hour=hour, minute=minute
    ).astimezone(UTC)  # fmt: skip


def workers(at):
    """Do as beat and a worker do at this time: ask by the clock, then run what is due."""
    for ask in (reminders.ask_for_reminders, letters.ask_for_letters):
        ask(at)
        for id in list(jobs.due(at).filter(kind__in=KINDS).values_list("id", flat=True)):
            jobs.run(id, KINDS, at=at)
    assert not Job.objects.filter(kind__in=KINDS, state=State.FAILED).exists()


def through(first, last, hour=7):
    """Let the workers look once a day from one local date to another."""
    day = date.fromisoformat(first)
    while day <= date.fromisoformat(last):
        workers(local(day.isoformat(), hour))
        day += timedelta(days=1)


def told(someone):
    """Return what somebody was told, in order: the part of the key after the last day."""
    found = Notice.objects.filter(member_id=someone.member.id, kind__in=("reminder", "escalation"))
    return [n.key.rsplit(".", 1)[1] for n in found.order_by("made_at", "due_at", "id")]


@pytest.fixture
def ground(coordinator):
    """Lay out ground to work on."""
    return lay_out(coordinator)


@pytest.fixture
def second(cast):
    """Make a second coordinator of a volunteer."""
    cast.coordinator.does("member", "amend", id=cast.other_volunteer.member.id, role="coordinator")
    return cast.other_volunteer.read_again()


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


# -- clocks, zones, many at once

ZONES = ["America/Chicago", "America/Los_Angeles", "Europe/London", "Australia/Sydney", "Australia/Lord_Howe",
         "America/St_Johns"]  # fmt: skip
"""Six zones; their clocks change on these days of 2027 (tzdata): the last day of the credential is one of them."""
CHANGES = {
    "America/Chicago": "2027-03-14", "America/Los_Angeles": "2027-11-07", "Europe/London": "2027-03-28",
    "Australia/Sydney": "2027-10-03", "Australia/Lord_Howe": "2027-04-04", "America/St_Johns": "2027-11-07",
}  # fmt: skip


@pytest.mark.parametrize("zone", ZONES)
def test_on_days_when_clocks_change_each_goes_out_on_its_local_date_once(cast, second, zone, mailoutbox):
    last = date.fromisoformat(CHANGES[zone])
    cast.coordinator.does("group", "amend", id=cast.group.id, time_zone=zone, lead_days=[7, 0])
    licence(cast.coordinator, cast.volunteer, last.isoformat())

    for day in (last - timedelta(days=7), last, last + timedelta(days=1)):
        evening = local((day - timedelta(days=1)).isoformat(), 22, zone)
        for hours in (0, 1, 2, 3, 4, 5, 6, 8, 10, 11):  # over midnight and over the hour that is left out or repeated
            workers(evening + timedelta(hours=hours))

    mine = Notice.objects.filter(member_id=cast.volunteer.member.id).order_by("made_at")
    assert [n.made_at.astimezone(ZoneInfo(zone)).date() for n in mine] == [last - timedelta(days=7), last]
    assert told(second) == ["7", "0", "escalated"]
    assert len([m for m in mailoutbox if m.to == [cast.volunteer.person.email]]) == 2
    assert len([m for m in mailoutbox if m.to == [second.person.email]]) == 3


def test_a_clock_that_is_set_back_two_hours_over_midnight_repeats_nothing(cast, mailoutbox):
    licence(cast.coordinator, cast.volunteer, "2027-06-30")
    for hours in (0, 1, 2, 0, 1, 2, 3, 9, 10):
        workers(local("2027-05-30", 23) + timedelta(hours=hours))

    assert told(cast.volunteer) == ["60", "30"]


@pytest.mark.django_db(transaction=True)
def test_four_schedulers_and_workers_at_once_send_each_reminder_once(cast, mailoutbox):
    for i in range(5):
        licence(cast.coordinator, cast.volunteer, "2027-06-30", number=f"N-{i}")

    results = in_threads([lambda: workers(local("2027-05-31"))] * 4)
    workers(local("2027-05-31"))

    assert results == [None] * 4
    assert told(cast.volunteer) == ["30"] * 5
    assert sorted(m.to[0] for m in mailoutbox) == [cast.coordinator.person.email, cast.volunteer.person.email]


def test_a_round_costs_the_same_statements_for_one_credential_and_for_many(cast, second):
    def statements(day):
        reminders.ask_for_reminders(local(day))
        job = Job.objects.get(kind=reminders.KIND, state=State.QUEUED, group_id=cast.group.id)
        with CaptureQueriesContext(connection) as seen:
            remind_group_of(job, local(day))
        return len(seen)

    def remind_group_of(job, at):
        for each in Job.objects.filter(kind=reminders.KIND, state=State.QUEUED):
            if each.id != job.id:
                each.delete()
        jobs.run(job.id, KINDS, at=at)

    licence(cast.coordinator, cast.volunteer, "2027-06-30")
    once = statements("2027-05-31")
    for i in range(30):
        licence(cast.coordinator, cast.volunteer, "2027-06-30", number=f"N-{i}")

    assert abs(statements("2027-06-23") - once) <= 1
    assert Notice.objects.count() == 3 + 31 * 3


# -- days


def test_the_day_before_everybody_is_told_where_and_when_once(cast, mailoutbox):
    plan = Plan(
        cast.coordinator, meeting_point="The gate on Ferry Road", note="Dogs stay at home.", bring="Gloves and water",
        access="Park on the verge", hazards=[{"what": "poison_ivy", "note": "at the fence"}],
        leader_contact="555-0142", weather_decision_at=at("20:00", "2027-06-30"), capacity=2,
    )  # fmt: skip
    plan.staffed(cast.volunteer)
    leads = plan.duty("leader")
    plan.takes(cast.other_volunteer, leads)
    plan.takes(cast.coordinator, plan.duty("puller"))

    through("2027-06-29", "2027-06-30", hour=8)
    assert not Notice.objects.filter(kind="day_ahead").exists()
    workers(local("2027-06-30", 9))
    workers(local("2027-06-30", 12))

    mine = Notice.objects.get(member_id=cast.volunteer.member.id, kind="day_ahead")
    assert mine.subject == "Thursday 1 July 2027: Buckthorn at Heron Bend"
    for words in (
        "You are signed up as applicator.", "Thursday 1 July 2027, 09:00 to 12:30", "Heron Bend",
        "Meeting point: The gate on Ferry Road", "Leader: Ines Carrowby, 555-0142.", "Wear and bring: Gloves and water",
        "How to get there: Park on the verge", "poison ivy", "is decided by Wednesday 30 June 2027, 20:00.", "Dogs",
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
    plan.takes(cast.other_volunteer, plan.duty("leader"))
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


def test_every_group_is_looked_through_by_its_own_clock_at_its_own_hours(cast):
    cast.stranger.does("group", "amend", id=cast.stranger.group_id, time_zone="Australia/Sydney")
    reminders.ask_for_reminders(datetime(2027, 6, 30, 17, 5, tzinfo=UTC))
    assert sorted(Job.objects.values_list("key", flat=True)) == ["2027-06-30 12:00", "2027-07-01 3:00"]

    assert reminders.ask_for_reminders(datetime(2027, 6, 30, 17, 55, tzinfo=UTC)) == 0


@pytest.mark.heavy
def test_three_thousand_credentials_are_one_round_of_as_many_statements_as_one(cast):
    told_of = LICENCE | {"holder": str(cast.volunteer.member.id), "expires_on": "2027-06-30"}
    for batch in range(6):
        numbers = [{"number": f"N-{batch}-{i}"} for i in range(500)]
        cast.coordinator.pushes(*(sent("credential", "create", told_of | number) for number in numbers))
    reminders.ask_for_reminders(local("2027-05-31"))
    job = Job.objects.get(kind=reminders.KIND, group_id=cast.group.id)

    with CaptureQueriesContext(connection) as seen:
        jobs.run(job.id, KINDS, at=local("2027-05-31"))
    letters.ask_for_letters(local("2027-05-31"))
    jobs.run(Job.objects.get(kind=letters.KIND).id, KINDS, at=local("2027-05-31"))

    assert len(seen) <= 16
    assert Notice.objects.count() == 6000
    assert Letter.objects.filter(state="sent").count() == 2


# -- what else ends


def test_a_training_ends_like_a_credential_until_the_next_one(cast):
    type = rule(cast.coordinator)
    first = trains(cast.coordinator, cast.volunteer, type)
    assert first.last_on == date(2027, 7, 1), "twelve months, the last day counts"

    workers(local("2027-06-24"))
    assert told(cast.volunteer) == ["7"]
    notice = Notice.objects.get(member_id=cast.volunteer.member.id)
    assert notice.subject == "Your training “Basal bark with volunteers” ends on Thursday 1 July 2027"

    trains(cast.coordinator, cast.volunteer, type, on_date="2027-05-01")
    through("2027-06-30", "2027-07-03")
    assert told(cast.volunteer) == ["7"]


def test_a_consent_ends_like_a_credential_until_it_is_given_again(cast):
    text = waiver(cast.coordinator, renewal="calendar_year")
    agrees(cast.volunteer, text)

    workers(local("2027-12-24"))
    assert told(cast.volunteer) == ["7"]
    mine = Notice.objects.get(member_id=cast.volunteer.member.id)
    assert mine.subject.startswith("Your waiver “")
    assert mine.subject.endswith(" ends on Friday 31 December 2027")
    workers(local("2028-01-01"))
    assert told(cast.volunteer) == ["7", "0"]
