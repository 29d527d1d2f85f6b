"""Whatever the clocks do, each reminder goes out once; what a round of looking costs."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job, State
from stewardship.notices.models import Letter, Notice
from stewardship.notices.services import letters, reminders
from tests.cast import sent
from tests.concurrency import in_threads
from tests.planning import LICENCE, licence
from tests.reminding import KINDS, local, told, workers

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


# -- what a round costs


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


def test_every_group_is_looked_through_by_its_own_clock_at_its_own_hours(cast):
    cast.stranger.does("group", "amend", id=cast.stranger.group_id, time_zone="Australia/Sydney")
    reminders.ask_for_reminders(datetime(2027, 6, 30, 17, 5, tzinfo=UTC))
    assert sorted(Job.objects.values_list("key", flat=True)) == ["2027-06-30 12:00", "2027-07-01 3:00"]

    assert reminders.ask_for_reminders(datetime(2027, 6, 30, 17, 55, tzinfo=UTC)) == 0


STATEMENTS = 20
"""Of a round that finds something to tell, whatever the group has."""


def held(cast, count):
    """Let the volunteer hold as many licences that end on one day."""
    told_of = LICENCE | {"holder": str(cast.volunteer.member.id), "expires_on": "2027-06-30"}
    for first in range(0, count, 500):
        numbers = [{"number": f"N-{i}"} for i in range(first, min(first + 500, count))]
        cast.coordinator.pushes(*(sent("credential", "create", told_of | number) for number in numbers))


def round_of(group):
    """Make the round of a group, and return how many statements it took."""
    reminders.ask_for_reminders(local("2027-05-31"))
    job = Job.objects.get(kind=reminders.KIND, group_id=group.id)
    with CaptureQueriesContext(connection) as seen:
        jobs.run(job.id, KINDS, at=local("2027-05-31"))
    return len(seen)


@pytest.mark.parametrize("count", [1, 40, pytest.param(3000, marks=pytest.mark.heavy)])
def test_a_round_takes_as_many_statements_for_thousands_of_credentials_as_for_one(cast, count):
    held(cast, count)

    statements = round_of(cast.group)
    letters.ask_for_letters(local("2027-05-31"))
    jobs.run(Job.objects.get(kind=letters.KIND).id, KINDS, at=local("2027-05-31"))

    assert statements == STATEMENTS
    assert Notice.objects.count() == 2 * count
    assert Letter.objects.filter(state="sent").count() == 2
