import re

from django.test import Client

from stewardship.workdays.models import CalendarFeed
from tests.stewardship.web.pages import body, send


def address_in(response):
    (found,) = re.findall(r"http://testserver(/api/v1/groups/\S+?/work-days\.ics\?token=[\w-]+)", body(response))
    return found


def test_an_address_is_shown_once_and_a_calendar_reads_it(pages):
    volunteer = pages.cast.volunteer.signed_in()
    ahead = pages.plans("2047-05-15", title="Years ahead")  # the calendar goes by the service's own clock
    pages.coordinator.does("work_day", "open", id=ahead)

    made = volunteer.post("/my/calendar/", {"scope": "group"})

    address = address_in(made)
    assert "no-store" in made["Cache-Control"]
    calendar = Client().get(address)
    assert (calendar.status_code, b"SUMMARY:Years ahead" in calendar.content) == (200, True)
    again = body(volunteer.get("/my/calendar/"))
    assert "token=" not in again
    assert "All work days of the group" in again
    assert "last read on" in again


def test_an_address_is_renewed_and_ended_on_the_page(pages):
    volunteer = pages.cast.volunteer.signed_in()
    first = address_in(volunteer.post("/my/calendar/", {"scope": "own"}))
    feed = CalendarFeed.objects.get()

    second = address_in(volunteer.post(f"/my/calendar/{feed.id}/renew/"))
    assert [Client().get(a).status_code for a in (first, second)] == [404, 200]

    ended = volunteer.post(f"/my/calendar/{feed.id}/end/", follow=True)
    assert "The address is ended" in body(ended)
    assert "None yet" in body(ended)
    assert Client().get(second).status_code == 404


def test_an_address_of_somebody_else_is_not_there(pages):
    pages.cast.volunteer.signed_in().post("/my/calendar/", {"scope": "own"})
    feed = CalendarFeed.objects.get()
    coordinator = pages.cast.coordinator.signed_in()

    for act in ("renew", "end"):
        assert coordinator.post(f"/my/calendar/{feed.id}/{act}/").status_code == 404
        assert coordinator.get(f"/my/calendar/{feed.id}/{act}/").status_code == 405
    assert CalendarFeed.objects.get().ended_at is None


def test_no_choice_and_too_many_addresses_are_refused_in_words(pages):
    volunteer = pages.cast.volunteer.signed_in()

    refused = send(volunteer, "/my/calendar/", scope="everything")
    assert (refused.status_code, CalendarFeed.objects.count()) == (400, 0)
    assert "Choose one from the list." in body(refused)

    for _ in range(10):
        volunteer.post("/my/calendar/", {"scope": "own"})
    refused = volunteer.post("/my/calendar/", {"scope": "own"})
    assert refused.status_code == 409
    assert "End those that you no longer use." in body(refused)


def test_my_account_leads_there(pages):
    assert 'href="/my/calendar/"' in pages.cast.volunteer.signed_in().get("/my/").content.decode()
