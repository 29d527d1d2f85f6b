"""The pages beside the work: everything is entered there, a refusal keeps what was typed, and each sees their part."""

import pytest

from stewardship.accounts.models import Consent, EmergencyContact, PersonalDetails
from stewardship.journal.ids import new_id
from stewardship.workdays.models import (
    Attendance,
    Briefing,
    BriefingSignature,
    EmergencySheet,
    Incident,
    IncidentDetails,
    Posting,
    WeatherReading,
)
from tests.signing import waiver
from tests.stewardship.web.pages import ON, body, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def today(pages):
    """Give an open work day on the date of the tests' clock."""
    day = pages.plans(ON)
    pages.coordinator.does("work_day", "open", id=day)
    return day


def keep(client, day, act, **values):
    return send(client, f"/work-days/{day}/keep/{act}/", **values)


def written(client, at, **told):
    return client.post(f"{at}write/", {"mid": str(new_id())} | told)


def leads(pages, day, someone):
    duty = pages.duty("leader", day)
    pages.coordinator.does("sign_up", "create", work_day=day, duty=duty, member=someone.member.id)


def test_a_briefing_is_recorded_and_each_signs_their_own_line(pages, today):
    volunteer, coordinator = pages.cast.volunteer, pages.coordinator
    send(volunteer.signed_in(), f"/work-days/{today}/check-in/", in_at="09:00", age_class="adult")

    held = keep(coordinator.signed_in(), today, "briefing", held_at="08:50", words="Wasps at the north edge")
    briefing = Briefing.objects.get()
    before = body(coordinator.signed_in().get(f"/work-days/{today}/keeping/"))
    signed = keep(volunteer.signed_in(), today, "sign", briefing=briefing.id)

    assert (held.status_code, signed.status_code) == (302, 302)
    assert "Tobias Quill has not signed" in before
    assert BriefingSignature.objects.get().member == volunteer.member
    assert "has not signed" not in body(coordinator.signed_in().get(f"/work-days/{today}/keeping/"))


def test_a_reading_is_compared_by_method_in_the_words_of_every_comparison(pages, today):
    limit = {"what": "wind", "unit": "mph", "low": "3", "high": "10", "wording": "Spray between 3 and 10 mph."}
    pages.coordinator.does("limit", "create", **limit, source="An invented label")

    keep(
        pages.cast.volunteer.signed_in(), today, "weather", read_at="09:00", moment="start", wind_speed="12",
        wind_unit="mph", wind_direction="sw", temperature="58", temperature_unit="f", humidity_percent="60",
    )  # fmt: skip
    shown = body(pages.cast.volunteer.signed_in().get(f"/work-days/{today}/keeping/"))

    assert WeatherReading.objects.get().wind_direction == "sw"
    assert "over a stored limit" in shown
    assert "An invented label" in shown
    assert "no stored limit exceeded; read the label" in shown


def test_who_leads_says_why_work_went_on_over_a_stored_limit(pages, today):
    limit = {"what": "wind", "unit": "mph", "low": "3", "high": "10", "wording": "Spray between 3 and 10 mph."}
    told = {"moment": "start", "wind_unit": "mph", "temperature_unit": "f"}
    leader, volunteer = pages.coordinator.signed_in(), pages.cast.volunteer.signed_in()
    page, asks = f"/work-days/{today}/keeping/", "Say why work went on"
    keep(leader, today, "weather", read_at="09:00", wind_speed="12", **told)
    without_a_limit = body(leader.get(page))
    pages.coordinator.does("limit", "create", **limit, source="An invented label")
    asked, of_a_volunteer = body(leader.get(page)), body(volunteer.get(page))
    reading = WeatherReading.objects.get()

    refused = keep(leader, today, "go-on", reading=reading.id, went_on="")
    keep(leader, today, "go-on", reading=reading.id, went_on="Only stumps were treated, by sponge.")

    assert (asks in without_a_limit, asks in asked, asks in of_a_volunteer) == (False, True, False)
    assert refused.status_code == 400
    assert "Work went on: Only stumps were treated, by sponge." in body(leader.get(page))
    assert asks not in body(leader.get(page))


def test_a_wind_that_is_no_number_is_refused_and_what_was_typed_stays(pages, today):
    refused = keep(
        pages.cast.volunteer.signed_in(), today, "weather", read_at="09:00", moment="start", wind_speed="brisk",
        wind_unit="mph", temperature_unit="f", sky="high clouds",
    )  # fmt: skip

    assert refused.status_code == 409
    assert 'value="brisk"' in refused.content.decode()
    assert 'value="high clouds"' in refused.content.decode()
    assert not WeatherReading.objects.exists()


def test_a_sign_is_put_up_and_taken_down_and_an_overdue_one_stands_on_the_coordinators_home(pages, today):
    client = pages.cast.volunteer.signed_in()
    keep(client, today, "sign-up", text="Keep off the stumps", put_up_at="08:00", due_on=ON, due_at="09:30")
    home = body(pages.coordinator.signed_in().get("/"))
    half = keep(client, today, "sign-up", text="Another", put_up_at="08:00", due_on=ON)

    assert "Signs that should have come down" in home
    assert "Keep off the stumps" in home
    assert "Say on which day and at what time it is to come down, or neither." in body(half)

    keep(client, today, "take-down", posting=Posting.objects.get().id)
    assert Posting.objects.get().taken_down_by == pages.cast.volunteer.member
    assert "Signs that should have come down" not in body(pages.coordinator.signed_in().get("/"))


def test_who_was_hurt_is_shown_to_coordinators_alone(pages, today):
    keep(
        pages.cast.volunteer.signed_in(), today, "incident", what="injury", happened_at="09:10",
        words="Somebody slipped on the bank.", who="Ines Carrowby", health="Twisted an ankle",
    )  # fmt: skip

    assert IncidentDetails.objects.get().incident == Incident.objects.get()
    for someone, sees in ((pages.coordinator, True), (pages.cast.volunteer, False), (pages.cast.reviewer, False)):
        shown = body(someone.signed_in().get(f"/work-days/{today}/keeping/"))
        assert ("slipped on the bank" in shown, "Twisted an ankle" in shown) == (True, sees)
    assert "Incidents that nobody has answered" in body(pages.coordinator.signed_in().get("/"))
    board = body(pages.cast.reviewer.signed_in().get("/"))
    assert "Nobody has answered it yet." in board
    assert "Twisted an ankle" not in board

    keep(pages.coordinator.signed_in(), today, "answer-incident", incident=Incident.objects.get().id, answer="Healed")
    assert Incident.objects.get().answer == "Healed"
    assert ": Healed" in body(pages.cast.reviewer.signed_in().get("/"))


def test_a_leader_settles_by_an_estimate_and_the_day_names_who_said_so(pages, today):
    other = pages.cast.other_volunteer
    leads(pages, today, other)
    send(pages.cast.volunteer.signed_in(), f"/work-days/{today}/check-in/", in_at="09:00", age_class="adult")
    came = Attendance.objects.get()

    keep(other.signed_in(), today, "settle", attendance=came.id, out_at="09:45", words="seen off at the gate")

    assert "estimated by Ines Carrowby: seen off at the gate" in body(
        pages.cast.reviewer.signed_in().get(f"/work-days/{today}/")
    )


def test_the_roster_names_whom_to_call_for_the_leader_and_the_coordinators_alone(pages, today):
    pages.cast.volunteer.does("emergency_contact", "create", name="Odile Fenn", phone="555 0102", relation="sister")
    send(pages.cast.volunteer.signed_in(), f"/work-days/{today}/check-in/", in_at="09:00", age_class="adult")
    other = pages.cast.other_volunteer

    assert other.signed_in().get(f"/work-days/{today}/roster/").status_code == 404
    leads(pages, today, other)
    for someone in (other, pages.coordinator):
        assert "Odile Fenn (sister)" in body(someone.signed_in().get(f"/work-days/{today}/roster/"))
    assert pages.cast.volunteer.signed_in().get(f"/work-days/{today}/roster/").status_code == 404


def test_the_emergency_sheet_is_written_corrected_and_read_by_all(pages):
    at = f"/places/{pages.ground.property}/emergency/"
    client = pages.coordinator.signed_in()
    half = written(client, at, address="14 Fen Road", hospital="County Hospital", latitude="42.1")
    told = {
        "address": "14 Fen Road",
        "hospital": "County Hospital",
        "contact": "Land office",
        "contact_phone": "555 01",
    }
    written(client, at, **told)
    written(client, at, **told | {"hospital": "Valley Clinic"})

    assert "Give both latitude and longitude, or neither." in body(half)
    assert EmergencySheet.objects.get().hospital == "Valley Clinic"
    assert "Valley Clinic" in body(pages.cast.reviewer.signed_in().get(at))


def test_a_member_tells_their_age_and_whom_to_call_and_agrees_to_the_waiver(pages):
    text = waiver(pages.coordinator)
    someone = pages.cast.volunteer
    client, at = someone.signed_in(), f"/people/{someone.member.id}/details/"

    send(client, f"{at}details/", age="adult", phone="555 0100")
    send(client, f"{at}contact/", name="Odile Fenn", phone="555 0102", place="1")
    send(client, f"{at}agree/", text=text)

    assert PersonalDetails.objects.get().adult_from.isoformat() == ON
    assert EmergencyContact.objects.get().member == someone.member
    assert Consent.objects.get().how == "signed_in"
    assert "Working along" in body(client.get(at))
    send(client, f"{at}details/", age="born_on", born_on="2001-02-03", phone="555 0100")
    assert PersonalDetails.objects.get().born_on.year == 2001
    send(client, f"{at}withdraw/", consent=Consent.objects.get().id)
    assert Consent.objects.get().withdrawn_at


def test_who_is_under_18_changes_their_number_and_not_their_age(pages):
    someone = pages.cast.volunteer
    client, at = someone.signed_in(), f"/people/{someone.member.id}/details/"
    told = {"member": someone.member.id, "under_18": True, "adult_from": "2029-01-02"}
    pages.coordinator.does("personal_details", "create", **told)

    send(client, f"{at}details/", age="under_18", phone="555 0100")
    refused = send(client, f"{at}details/", age="adult", phone="555 0100")

    assert "a coordinator corrects it" in body(refused)
    kept = PersonalDetails.objects.get()
    assert (kept.phone, kept.under_18, kept.adult_from.isoformat()) == ("555 0100", True, "2029-01-02")
    send(pages.coordinator.signed_in(), f"{at}details/", age="adult", phone="555 0100")
    assert PersonalDetails.objects.get().adult_from.isoformat() == ON


def test_nobody_opens_the_details_of_another_and_a_coordinator_enters_a_guardians_sheet(pages):
    someone, text = pages.cast.volunteer, waiver(pages.coordinator, what="guardian_consent", only_under_18=True)
    at = f"/people/{someone.member.id}/details/"

    assert pages.cast.other_volunteer.signed_in().get(at).status_code == 404
    refused = send(pages.coordinator.signed_in(), f"{at}sheet/", text=text, given_on=ON, sheet="Binder 2")
    assert "For somebody under 18 a guardian signs." in body(refused)
    send(
        pages.coordinator.signed_in(), f"{at}sheet/", text=text, given_on=ON, sheet="Binder 2", given_by="Odile Fenn",
        relation="mother",
    )  # fmt: skip
    assert Consent.objects.get().given_by == "Odile Fenn"


def test_a_coordinator_says_what_the_group_asks_and_enters_a_text(pages):
    client = pages.coordinator.signed_in()
    send(client, "/people/consents/wishes/", wants_waivers="on")
    send(client, "/people/consents/", what="waiver", title="At my own risk", text="I know.", renewal="calendar_year")

    pages.cast.group.refresh_from_db()
    assert (pages.cast.group.wants_waivers, pages.cast.group.wants_briefings) == (True, False)
    assert "At my own risk" in body(client.get("/people/consents/"))
