"""What somebody was told, on their home and on a page of its own; how they wish to be told; whom to phone."""

from datetime import timedelta
from urllib.parse import urlsplit

import pytest
from django.test import Client

from stewardship.accounts.models import Group, Member
from stewardship.journal.book import open_entry
from stewardship.journal.ids import new_id
from stewardship.notices.kinds import KINDS
from stewardship.notices.models import Letter, Notice, NotificationSettings
from stewardship.notices.services import tell
from stewardship.notices.writing import off_url
from tests.cast import AT, with_device
from tests.concurrency import in_threads
from tests.stewardship.web.pages import body, send


@pytest.fixture
def told(coordinator):
    """Tell somebody something."""

    def say(member, subject="Cancelled: Buckthorn on Saturday 8 May 2027", **values):
        with open_entry(group_id=coordinator.group_id, by=coordinator.actor, at=AT) as entry:
            words = {"kind": "day_cancelled", "key": str(new_id()), "text": "Storm.", "path": "/work-days/"} | values
            tell(entry, [member.id], subject=subject, **words)
        return Notice.objects.get(member_id=member.id, subject=subject)

    return say


# -- reading


@pytest.mark.parametrize("role", ["coordinator", "volunteer", "reviewer"])
def test_what_is_new_stands_on_the_home_few_at_first_until_it_was_seen(cast, told, role):
    someone = getattr(cast, role)
    for i in range(5):
        told(someone.member, f"Thing {i}", due_at=AT - timedelta(seconds=9 - i))
    client = someone.signed_in()

    home = body(client.get("/"))
    page = body(client.get("/my/told/"))

    assert "New for you Thing 4 Thing 3 Thing 2 Read these and 2 more" in home
    assert page.count("New:") == 5
    assert "Storm." in page
    assert "New:" not in body(client.get("/my/told/"))
    assert "New for you" not in body(client.get("/"))


def test_nobody_reads_what_another_was_told(cast, told):
    notice = told(cast.volunteer.member)

    for other in (cast.other_volunteer, cast.coordinator, cast.stranger):
        assert "Cancelled" not in body(other.signed_in().get("/my/told/"))
        assert other.signed_in().get(f"/told/{notice.id}/").status_code == 404
    assert Notice.objects.get().read_at is None


def test_a_link_in_a_mail_leads_into_the_right_group_and_the_notice_was_seen(cast, told):
    cast.stranger.does("member", "create", display_name="T", email="tobias@tamarack.example", role="volunteer")
    notice = told(cast.volunteer.member)
    client = cast.volunteer.signed_in()
    client.post("/groups/", {"group": str(cast.stranger.group_id)})

    response = client.get(f"/told/{notice.id}/")

    assert response["Location"] == "/work-days/"
    assert Notice.objects.get().read_at is not None
    assert "Tamarack Hollow Stewards" in body(client.get("/"))


@pytest.mark.parametrize(("then", "words"), [("", "What I was told"), ("settings/", "How I am told")])
def test_the_links_below_a_mail_lead_to_the_pages_of_its_group_alone(cast, then, words):
    client = cast.volunteer.signed_in()

    assert words in body(client.get(f"/told/in/{cast.group.id}/{then}", follow=True))
    assert client.get(f"/told/in/{cast.stranger.group_id}/{then}").status_code == 404


@pytest.mark.parametrize("address", ["/told/{notice}/", "/told/in/{group}/settings/", "/my/told/"])
def test_who_is_not_signed_in_is_asked_to_and_comes_back_to_it(cast, told, client, address):
    address = address.format(notice=told(cast.volunteer.member).id, group=cast.group.id)

    assert client.get(address)["Location"] == f"/accounts/login/?next={address}"


# -- how


def test_a_person_says_how_to_be_told_and_changes_it(cast):
    client = cast.volunteer.signed_in()
    wish = {"digest": "daily", "digest_hour": "18", "whose_days": "own", "lead_days": ["30", "7"]}

    first = send(client, "/my/how-told/", by_mail=["reminder", "day_ahead"], **wish)
    settings = NotificationSettings.objects.get(member=cast.volunteer.member)
    assert first["Location"] == "/my/how-told/"
    assert (settings.digest_hour, settings.lead_days) == (18, [30, 7])
    kept = [kind for kind, told in KINDS.items() if not told.always and kind not in ("reminder", "day_ahead")]
    assert settings.page_only == kept

    send(
        client, "/my/how-told/", by_mail=[k for k, t in KINDS.items() if not t.always], **wish | {"whose_days": "group"}
    )
    settings.refresh_from_db()
    assert (settings.page_only, settings.lead_days, settings.rev) == ([], None, 2)
    assert 'value="18" selected' in client.get("/my/how-told/").content.decode()


def test_what_cannot_be_chosen_is_told_beside_its_field_and_nothing_is_lost(cast):
    response = send(cast.volunteer.signed_in(), "/my/how-told/", digest="never", digest_hour="18", whose_days="group")

    assert response.status_code == 400
    assert "Choose one from the list." in body(response)
    assert 'value="18" selected' in response.content.decode()


def test_a_coordinator_says_when_and_whom_the_group_reminds(cast):
    cast.coordinator.does("member", "amend", id=cast.volunteer.member.id, role="coordinator")
    client = cast.coordinator.signed_in()

    send(
        client, "/people/reminders/",
        lead_days=["60", "0"], second_coordinator=cast.volunteer.member.id, escalate_after_days="2",
    )  # fmt: skip

    group = Group.objects.get(id=cast.group.id)
    assert (group.lead_days, group.escalate_after_days) == ([60, 0], 2)
    assert group.second_coordinator_id == cast.volunteer.member.id
    assert "Tobias Quill" in body(client.get("/people/reminders/"))


@pytest.mark.parametrize("said", [False, True])
def test_a_mail_program_asks_for_less_mail_without_signing_in(cast, client, said):
    if said:
        cast.volunteer.does("notification_settings", "create", digest_hour=18)
    address = urlsplit(off_url(cast.volunteer.member)).path

    opened = client.get(address)
    assert opened["Location"] == f"/told/in/{cast.group.id}/settings/"
    assert [each.page_only for each in NotificationSettings.objects.all()] == ([[]] if said else [])
    posted = Client(enforce_csrf_checks=True).post(address, {"List-Unsubscribe": "One-Click"})

    settings = NotificationSettings.objects.get()
    assert (posted.status_code, settings.member_id) == (200, cast.volunteer.member.id)
    assert settings.page_only == [kind for kind, told in KINDS.items() if not told.always]
    assert settings.digest_hour == (18 if said else 7)


@pytest.mark.django_db(transaction=True)
def test_a_mail_program_that_asks_several_times_at_once_is_answered_each_time(coordinator, volunteer):
    address = urlsplit(off_url(volunteer.member)).path

    told = in_threads([lambda: Client().post(address).status_code] * 6, connected=False)

    assert told == [200] * 6
    assert NotificationSettings.objects.get().page_only


@pytest.mark.parametrize("token", ["made-up", "ended"])
def test_an_address_for_less_mail_that_was_made_up_or_is_no_member_s_is_not_there(cast, client, token):
    address = urlsplit(off_url(cast.former.member)).path if token == "ended" else f"/told/off/{token}/"

    assert client.get(address).status_code == client.post(address).status_code == 404
    assert not NotificationSettings.objects.exists()


# -- by phone


@pytest.fixture
def nell(cast):
    """Take in somebody without an e-mail address."""
    done = cast.coordinator.does("member", "create", display_name="Nell Sorrow", role="volunteer")
    return with_device(Member.objects.get(id=done.record.id))


def test_whom_no_mail_reaches_is_on_the_coordinator_s_home_until_they_were_phoned(cast, nell, told, monkeypatch):
    monkeypatch.setattr("stewardship.web.access.timezone.now", lambda: AT)
    told(nell.member)
    Notice.objects.update(handled_at=AT)
    cast.coordinator.does("personal_details", "create", member=nell.member.id, phone="555-0142")
    client = cast.coordinator.signed_in()

    home = body(client.get("/"))
    assert "People to phone" in home
    assert "Nell Sorrow, 555-0142 Cancelled: Buckthorn on Saturday 8 May 2027" in home

    sent = client.post(f"/people/{nell.member.id}/phoned/", follow=True)
    assert "Nell Sorrow has been told by phone." in body(sent)
    assert "People to phone" not in body(sent)
    notice = Notice.objects.get()
    assert (notice.read_at, notice.told_by_id) == (AT, cast.coordinator.member.id)


def test_a_mail_that_did_not_arrive_is_shown_with_the_reason(cast, told, monkeypatch):
    monkeypatch.setattr("stewardship.web.access.timezone.now", lambda: AT)
    notice = told(cast.volunteer.member)
    letter = Letter.objects.create(
        group=cast.group, member=cast.volunteer.member, address="tobias@tamarack.example", message_id="<1@x>",
        subject="s", text="t", html="h", state="failed", error="no such mailbox", run_after=AT, made_at=AT,
        finished_at=AT,
    )  # fmt: skip
    Notice.objects.filter(id=notice.id).update(handled_at=AT, letter=letter)

    home = body(cast.coordinator.signed_in().get("/"))

    assert "A mail to tobias@tamarack.example did not arrive: no such mailbox" in home
