"""What is due goes into one mail, by everybody's wishes; each mail goes out once, whatever breaks."""

from datetime import UTC, datetime, timedelta
from email import message_from_string

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stewardship.accounts.models import Person
from stewardship.jobs.lease import LeaseLost
from stewardship.jobs.models import Job
from stewardship.notices.models import Letter, Notice
from stewardship.notices.posting import LEASE, MOST_TRIES
from stewardship.notices.services import letters
from stewardship.notices.writing import off_url
from tests.cast import AT
from tests.concurrency import in_threads

SEVEN = datetime(2027, 5, 2, 12, 0, tzinfo=UTC)
"""Seven in the morning of the next day in the group's zone."""

MINUTE = timedelta(minutes=1)


def wishes(someone, **values):
    return someone.does("notification_settings", "create", **values)


def states():
    return list(Letter.objects.order_by("id").values_list("state", flat=True))


# -- when


def test_a_day_s_notices_come_in_one_mail_at_seven(told, mailed, server, volunteer):
    for i in range(20):
        told(volunteer, subject=f"Thing {i}", due_at=AT + timedelta(seconds=i))

    assert mailed(SEVEN - MINUTE) == 0
    assert mailed(SEVEN) == 1

    (mail,) = server.taken
    assert mail.to == ["tobias@tamarack.example"]
    assert mail.subject == "Thing 0 (and 19 more)"
    assert all(f"* Thing {i}\n" in mail.body for i in range(20))
    assert mailed(SEVEN + MINUTE) == 0


def test_a_second_mail_of_the_day_waits_for_the_next(told, mailed, server, volunteer):
    told(volunteer)
    mailed(SEVEN)
    told(volunteer, at=SEVEN + MINUTE, due_at=SEVEN - timedelta(hours=7))

    assert mailed(SEVEN + timedelta(hours=9)) == 0
    assert mailed(SEVEN + timedelta(hours=24)) == 1
    assert len(server.taken) == 2


def test_after_an_outage_what_was_due_comes_when_the_service_is_back(told, mailed, server, volunteer):
    told(volunteer)

    assert mailed(SEVEN + timedelta(hours=26)) == 1
    assert len(server.taken) == 1


def test_each_hour_is_by_the_group_s_clock(told, mailed, server, volunteer):
    wishes(volunteer, digest_hour=18)
    told(volunteer)

    assert mailed(datetime(2027, 5, 1, 22, 59, tzinfo=UTC)) == 0
    assert mailed(datetime(2027, 5, 1, 23, 0, tzinfo=UTC)) == 1


def test_a_cancelled_day_is_mailed_at_once_and_takes_the_rest_along(told, mailed, server, volunteer):
    told(volunteer, subject="Your licence ends on 30 June")
    told(volunteer, kind="day_cancelled", subject="Cancelled: Buckthorn on Saturday 8 May")

    assert mailed(AT) == 1
    (mail,) = server.taken
    assert mail.subject == "Cancelled: Buckthorn on Saturday 8 May (and 1 more)"
    assert mail.body.index("Buckthorn") < mail.body.index("licence")


def test_who_wishes_it_is_told_at_once(told, mailed, server, volunteer, other_volunteer):
    wishes(volunteer, digest="at_once")
    told(volunteer, other_volunteer)

    assert mailed(AT) == 1
    assert [mail.to for mail in server.taken] == [["tobias@tamarack.example"]]


def test_what_somebody_turned_off_stays_on_the_page(told, mailed, server, volunteer):
    wishes(volunteer, page_only=["reminder"], digest="at_once")
    told(volunteer)

    mailed(AT)

    notice = Notice.objects.get()
    assert (notice.handled_at, notice.letter_id, server.taken) == (AT, None, [])
    assert mailed(AT + MINUTE) == 0


@pytest.mark.parametrize("gone", ["no_address", "ended", "suspended", "inactive"])
def test_who_has_no_mail_keeps_the_notice_on_the_page(told, mailed, server, coordinator, volunteer, gone):
    told(volunteer, kind="day_cancelled")
    if gone in ("ended", "suspended"):
        op = {"ended": "end", "suspended": "suspend"}[gone]
        coordinator.does("member", op, id=volunteer.member.id, reason="so agreed")
    else:
        changed = {"email": None} if gone == "no_address" else {"is_active": False}
        Person.objects.filter(id=volunteer.person.id).update(**changed)

    mailed(AT)

    assert (Notice.objects.get().letter_id, server.taken) == (None, [])


@pytest.mark.parametrize("act", ["end", "suspend"])
def test_a_letter_that_waits_is_not_sent_to_who_is_no_member_any_more(
    told, mailed, server, coordinator, volunteer, act
):
    told(volunteer, kind="day_cancelled")
    server.does[:] = [server.is_away]
    mailed(AT)
    coordinator.does("member", act, id=volunteer.member.id, reason="so agreed")

    mailed(AT + 5 * MINUTE)

    letter = Letter.objects.get()
    assert (letter.state, server.taken) == ("failed", [])
    assert "left the group or is suspended" in letter.error


def test_what_is_due_later_waits(told, mailed, server, volunteer):
    told(volunteer, kind="day_ahead", due_at=AT + timedelta(hours=3))

    assert mailed(AT) == 0
    assert mailed(AT + timedelta(hours=3)) == 1


# -- what it says


def test_a_mail_leads_back_and_says_how_to_change_what_comes(told, mailed, server, settings, volunteer):
    settings.SITE_URL = "https://records.example"
    told(volunteer, kind="moved_up", subject="You <moved> up & are in", text="Come at 9:00.\nBring gloves.")

    mailed(AT)

    notice, (mail,) = Notice.objects.get(), server.taken
    read = message_from_string(mail.message().as_string())
    plain, html = (part.get_payload(decode=True).decode() for part in read.get_payload())
    assert [part.get_content_type() for part in read.get_payload()] == ["text/plain", "text/html"]
    assert "You <moved> up & are in\nCome at 9:00.\nBring gloves.\n" in plain
    assert "You &lt;moved&gt; up &amp; are in" in html
    for address in (f"/told/{notice.id}/", f"/told/in/{notice.group_id}/settings/"):
        assert f"https://records.example{address}" in plain
        assert f"https://records.example{address}" in html
    assert "".join(read["List-Unsubscribe"].split()) == f"<{off_url(volunteer.member)}>"
    assert read["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert read["Message-ID"] == f"<{Letter.objects.get().id}@records.example>"
    assert read["From"] == "Tamarack Hollow Stewards <stewardship@localhost>"


# -- once


def test_a_server_that_is_away_is_tried_again_with_growing_waits(told, mailed, server, volunteer, other_volunteer):
    told(volunteer, other_volunteer, kind="day_cancelled")
    server.does[:] = [server.is_away, server.greets_badly]

    mailed(AT)
    assert (states(), server.taken) == (["queued", "queued"], [])

    mailed(AT + 5 * MINUTE)
    mailed(AT + 10 * MINUTE)
    assert states() == ["sent", "sent"]
    assert len(server.taken) == 2


def test_an_address_that_is_none_fails_for_good_and_the_others_go(told, mailed, server, volunteer, other_volunteer):
    told(volunteer, other_volunteer, kind="day_cancelled")
    server.does[:] = [server.knows_nobody]

    mailed(AT)

    assert sorted(states()) == ["failed", "sent"]
    assert "no such mailbox" in Letter.objects.get(state="failed").error


@pytest.mark.parametrize(("act", "end"), [("is_full", "sent"), ("dislikes_it", "failed")])
def test_an_answer_that_is_not_final_is_asked_again(told, mailed, server, volunteer, act, end):
    told(volunteer, kind="day_cancelled")
    server.does[:] = [getattr(server, act)]

    mailed(AT)
    mailed(AT + 5 * MINUTE)

    assert states() == [end]


def test_a_server_that_never_takes_it_is_given_up_and_that_is_told(told, mailed, server, volunteer):
    told(volunteer, kind="day_cancelled")
    server.does[:] = [server.is_full] * MOST_TRIES

    for i in range(MOST_TRIES + 3):
        mailed(AT + i * timedelta(hours=7))

    letter = Letter.objects.get()
    assert (letter.state, letter.attempts, "mailbox full" in letter.error) == ("failed", MOST_TRIES, True)


@pytest.mark.parametrize(
    ("act", "copies"),
    [("breaks_off_before", 1), ("breaks_off_after", 2), ("killed_before", 1), ("killed_after", 2)],
)
def test_an_end_nobody_knows_of_sends_it_once_more_under_the_same_id(told, mailed, server, volunteer, act, copies):
    told(volunteer, kind="day_cancelled")
    server.does[:] = [getattr(server, act)]
    try:
        mailed(AT)
    except server.Killed:
        assert mailed(AT + MINUTE) == 0, "the job's lease has lapsed at most, the letter's has not"

    for i in range(1, 5):
        mailed(AT + i * (LEASE + MINUTE))

    assert states() == ["sent"]
    sent = [mail.message() for mail in server.taken]
    assert len(sent) == copies
    assert len({(mail["Message-ID"], mail["Date"], mail["Subject"]) for mail in sent}) == 1
    assert len({mail.body for mail in server.taken}) == 1


@pytest.mark.parametrize("act", ["breaks_off_after", "killed_after"])
def test_a_second_unclear_end_is_the_last_and_that_is_told(told, mailed, server, volunteer, act):
    told(volunteer, kind="day_cancelled")
    server.does[:] = [getattr(server, act)] * 2
    for i in range(6):
        try:
            mailed(AT + i * (LEASE + MINUTE))
        except server.Killed:
            continue

    letter = Letter.objects.get()
    assert (letter.state, len(server.taken)) == ("failed", 2)
    assert "may have arrived" in letter.error


def test_a_run_that_lost_its_job_writes_no_letters(told, server, volunteer):
    told(volunteer, kind="day_cancelled")
    letters.ask_for_letters(AT)
    job = Job.objects.get()

    with pytest.raises(LeaseLost):
        letters.send_letters(job, AT)

    assert not Letter.objects.exists()
    assert Notice.objects.get().handled_at is None


@pytest.mark.django_db(transaction=True)
def test_four_workers_and_four_clocks_at_once_send_one_mail_each(told, mailed, server, volunteer, other_volunteer):
    for _ in range(5):
        told(volunteer, other_volunteer, kind="day_cancelled")

    in_threads([lambda: mailed(AT)] * 4)
    mailed(AT + MINUTE)

    assert sorted(mail.to[0] for mail in server.taken) == ["ines@tamarack.example", "tobias@tamarack.example"]
    assert states() == ["sent", "sent"]


def test_looking_costs_the_same_for_one_notice_and_for_many(told, volunteer, other_volunteer, coordinator):
    def statements():
        with CaptureQueriesContext(connection) as seen:
            letters.ask_for_letters(AT)
        Job.objects.all().delete()
        return len(seen)

    told(volunteer, kind="day_cancelled")
    once = statements()
    for _ in range(15):
        told(volunteer, other_volunteer, coordinator, kind="day_cancelled")

    assert statements() == once
