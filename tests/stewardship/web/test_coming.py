"""Checking in and out on the screen of a day."""

from stewardship.journal.ids import new_id
from stewardship.workdays.models import Attendance
from tests.stewardship.web.pages import ON, address, body, send


def test_a_check_in_and_out_by_the_clock_of_the_place(pages):
    client = pages.cast.volunteer.signed_in()

    send(client, address(pages, "check-in/"), member="", in_at="09:05", age_class="adult")
    came = Attendance.objects.get()
    send(client, address(pages, f"attendances/{came.id}/check-out/"), out_at="12:10", how_known="measured")

    left = Attendance.objects.get()
    assert came.in_at.isoformat() == "2027-05-15T14:05:00+00:00"
    assert (left.out_at.isoformat(), left.how_known) == ("2027-05-15T17:10:00+00:00", "measured")


def test_what_was_flagged_about_a_check_in_is_told(pages):
    client = pages.cast.volunteer.signed_in()

    response = client.post(
        address(pages, "check-in/"),
        {"mid": str(new_id()), "member": "", "in_at": "09:05", "age_class": "adult"},
        follow=True,
    )

    assert "Recorded and marked: The work day was open: it had not been confirmed." in body(response)


def test_a_check_out_before_the_check_in_is_refused_and_the_time_typed_stays(pages):
    client = pages.cast.volunteer.signed_in()
    send(client, address(pages, "check-in/"), member="", in_at="09:05", age_class="adult")
    came = Attendance.objects.get()

    response = send(client, address(pages, f"attendances/{came.id}/check-out/"), out_at="08:00", how_known="measured")

    assert response.status_code == 409
    assert "The check-out lies before the check-in." in body(response)
    assert 'value="08:00"' in response.content.decode()
    assert Attendance.objects.get().out_at is None


def test_nobody_is_checked_in_twice(pages):
    client = pages.cast.volunteer.signed_in()
    send(client, address(pages, "check-in/"), member="", in_at="09:05", age_class="adult")

    response = send(client, address(pages, "check-in/"), member="", in_at="09:10", age_class="adult")

    assert "This member is checked in on this work day already" in body(response)
    assert Attendance.objects.count() == 1


def test_a_volunteer_checks_nobody_out_whom_they_did_not_check_in(pages):
    send(pages.coordinator.signed_in(), address(pages, "check-in/"), member="", in_at="09:05", age_class="adult")
    came = Attendance.objects.get()

    response = send(
        pages.cast.volunteer.signed_in(), address(pages, f"attendances/{came.id}/check-out/"), out_at="10:00",
        how_known="measured",
    )  # fmt: skip

    assert response.status_code == 404
    assert Attendance.objects.get().out_at is None


def test_on_the_day_itself_the_first_tap_leads_to_checking_in_and_then_out(pages):
    client = pages.cast.volunteer.signed_in()
    before = body(client.get(address(pages)))
    pages.day = pages.plans(ON)
    pages.coordinator.does("work_day", "open", id=pages.day)

    first = client.get(address(pages)).content.decode()
    send(client, address(pages, "check-in/"), in_at="05:00", age_class="adult")
    then = client.get(address(pages)).content.decode()

    assert "Check in" not in before.split("State")[0]
    assert '<a class="button" href="#came">Check in</a>' in first
    assert '<a class="button" href="#came">Check out</a>' in then


def test_who_leads_nothing_signs_a_briefing_without_reading_what_keeps_the_day_open(pages):
    volunteer, lead = (
        who.signed_in().get(address(pages, "keeping/")) for who in (pages.cast.volunteer, pages.coordinator)
    )

    assert "What is open" not in body(volunteer)
    assert "What is open" in body(lead)
