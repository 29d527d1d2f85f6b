"""The letter of an invitation where the mail server is away, or knows no such address."""

from datetime import timedelta

import pytest

from stewardship.accounts.letters import AGAIN, ask_again
from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job
from stewardship.web.access import Here
from stewardship.web.queries.people import people_listed
from tests.cast import AT
from tests.stewardship.accounts.test_invitations import LATER, accepted, invited, secret_in
from tests.stewardship.notices import servers
from workers.jobs import JOBS

MINUTE = timedelta(minutes=1)


@pytest.fixture
def mail_server(settings):
    """Give a mail server that is away, or refuses, as often as it is told to."""
    settings.EMAIL_BACKEND = "tests.stewardship.notices.servers.Server"
    servers.begin()
    return servers


def through(hours):
    """Let the workers run for hours, looking every ten minutes; all that is due is done."""
    for minutes in range(0, hours * 60 + 1, 10):
        now = AT + timedelta(minutes=minutes)
        ask_again(now)
        for again in range(6):
            due = Job.objects.filter(kind="invitation", state="queued", run_after__lte=now + again * MINUTE)
            for id in due.values_list("id", flat=True):
                jobs.run(id, JOBS, at=now + again * MINUTE)


def shown(coordinator):
    """Return what the page of the people says of each letter that is out."""
    listed = people_listed(Here(coordinator.member, coordinator.actor, LATER))
    return [standing for _, standing in listed.invited]


def test_a_letter_goes_once_though_the_mail_server_was_away_for_hours(coordinator, mail_server):
    invited(coordinator)
    mail_server.does[:] = [mail_server.breaks_off_before] * 13

    through(hours=3)
    before = shown(coordinator)
    through(hours=30)

    assert before == ["unsent"]
    (letter,) = mail_server.taken
    assert accepted(secret_in(letter), at=AT + timedelta(hours=31))[1].display_name == "Nell Osgood"
    assert Job.objects.filter(kind="invitation", state="done").count() == 1


def test_a_letter_to_an_address_that_is_none_is_not_tried_again_and_that_is_told(coordinator, mail_server):
    invited(coordinator)
    mail_server.does[:] = [mail_server.knows_nobody]

    through(hours=30)

    (job,) = Job.objects.filter(kind="invitation")
    assert (job.state, job.error_code, mail_server.taken) == ("failed", "address_refused", [])
    assert "The mail server takes no letter for nell@tamarack.example." in job.error_detail
    assert shown(coordinator) == ["refused"]


def test_a_mail_server_that_never_comes_back_is_not_asked_for_ever(coordinator, mail_server):
    invited(coordinator)
    mail_server.does[:] = [mail_server.is_full] * 500

    through(hours=24 * 8)

    assert Job.objects.filter(kind="invitation").count() == 1 + len(AGAIN)
