"""A session's record on its page: how it stands, what it lacks, how it is completed, signed and locked."""

from datetime import timedelta

import pytest

from stewardship.journal.models import Revision
from stewardship.treatments.models import Session
from tests.cast import AT
from tests.planning import licence
from tests.stewardship.treatments.verdicts.records import EVERYTHING, at_home_in, own_rule, rule, whole
from tests.stewardship.web.pages import ON, body, send, use_of

pytestmark = pytest.mark.django_db

COMPLETED = {
    "place_text": "East bank, below the footbridge", "latitude": "44.98", "longitude": "-93.27",
    "site_type": "floodplain forest", "equipment": "hand sprayer, 1 L", "supervisor": "", "had_helpers": "no",
    "all_adults": "yes", "read_at": "09:30", "wind_speed": "4", "wind_unit": "mph", "wind_direction": "wsw",
    "temperature": "52", "temperature_unit": "f", "sky": "overcast", "weather_changed": "no",
    "reentry_note": "When dry", "had_incident": "no", "incident": "", "for_a_customer": "no", "customer": "",
    "reason": "completed",
}  # fmt: skip


@pytest.fixture
def washington(pages):
    """Let the property stand in Washington, under its rule."""
    at_home_in(pages.ground, "US-WA")
    rule(pages.coordinator, "us-wa")


def session_of(pages, **values):
    """Record a session of the volunteer's with a line; what is not given is everything."""
    whole(pages.ground, applicator=pages.cast.volunteer.member.id, **values)
    return Session.objects.latest("entered_at", "id").id


def shown(pages, someone, id):
    return body(someone.signed_in().get(f"/sessions/{id}/"))


def test_the_page_says_what_is_missing_in_words_and_how_much_time_is_left(pages, washington):
    words = shown(pages, pages.cast.volunteer, session_of(pages, site_type=""))

    assert "State draft: not signed" in words
    assert "Washington: incomplete, 14.0 h left" in words  # from 10:00 in Chicago to midnight
    assert "It does not say yet:" in words
    assert "what kind of place it is" in words
    assert "Kept until Mon 1 May 2034 at least." in words
    assert "Recordkeeping pages, WSDA" in words


def test_a_complete_record_is_said_to_be_complete_and_its_weather_and_people_are_shown(pages, washington):
    licence(pages.coordinator, pages.cast.volunteer, "2027-12-31")

    words = shown(pages, pages.cast.volunteer, session_of(pages))

    assert "Washington: complete, in time" in words
    assert "09:30, wind 4 mph, from WSW, 52 °F, overcast" in words
    assert "Others involved nobody" in words
    assert "Unexpected nothing" in words


def test_without_a_rule_the_page_calls_nothing_complete(pages):
    words = shown(pages, pages.cast.volunteer, session_of(pages))

    assert "nothing here says that the record is complete" in words


def test_a_correction_that_says_nothing_new_is_not_called_one(pages, washington):
    at = f"/sessions/{session_of(pages)}/complete/"
    send(pages.coordinator.signed_in(), at, **COMPLETED)
    client = pages.coordinator.signed_in()

    response = send(client, at, **COMPLETED)

    assert "The record says this already." in body(client.get(response["Location"]))


def test_a_line_tells_its_area_and_its_longest_wait(pages):
    session, batch = pages.ground.session(), pages.ground.batch()
    acres = {"area": {"value": "0.5", "unit": "acre"}, "infested_area": {"value": "0.2", "unit": "acre"}}
    pages.ground.line(session, batch, "10", method="cut_stump", longest_wait="5_to_15_min", is_spot=True, **acres)

    words = shown(pages, pages.cast.reviewer, session)

    assert "0.5 acres treated, of it 0.2 acres infested, spot treatment" in words
    assert "Longest wait from cut to treatment: 5 to less than 15 minutes" in words


def test_a_record_is_completed_by_form_and_what_was_told_stays(pages, washington):
    licence(pages.coordinator, pages.cast.volunteer, "2027-12-31")
    id = session_of(pages, site_type="", weather=[], coordinates=None, place_text="", had_incident=None)
    client, at = pages.coordinator.signed_in(), f"/sessions/{id}/complete/"
    assert "Washington wants, and the record does not say yet:" in body(client.get(at))

    response = send(client, at, **COMPLETED)

    assert response["Location"] == f"/sessions/{id}/"
    told = Session.objects.get(id=id).content()
    plain = ("place_text", "site_type", "coordinates", "helpers", "had_incident", "all_adults", "weather_changed")
    assert {name: told[name] for name in plain} == {name: EVERYTHING[name] for name in plain}
    assert told["weather"][0]["wind_speed"]["um_s"] == 1_788_160
    assert "Washington: complete, in time" in shown(pages, pages.cast.volunteer, id)
    before = Session.objects.get(id=id).rev
    assert send(client, at, **COMPLETED).status_code == 302
    assert Session.objects.get(id=id).rev == before, "the same words again change nothing"


def test_later_readings_and_humidity_stay_when_the_form_is_sent(pages):
    later = {"at": "2027-05-01T10:10:00-05:00", "sky": "rain", "wind_speed": {"value": "9", "unit": "mph"}}
    first = EVERYTHING["weather"][0] | {"humidity_percent": 61}
    id = session_of(pages, weather=[first, later])

    send(pages.coordinator.signed_in(), f"/sessions/{id}/complete/", **COMPLETED)

    readings = Session.objects.get(id=id).weather
    assert [(each["sky"], each["humidity_percent"]) for each in readings] == [("overcast", 61), ("rain", None)]


def test_what_was_read_on_the_work_day_is_offered_to_a_record_without_weather(pages):
    day = pages.coordinator.does(
        "work_day", "create", title="Buckthorn", property=pages.ground.property, on_date=ON
    ).record
    read = {"work_day": day.id, "moment": "start", "sky": "overcast", "wind_direction": "wsw"}
    wind, warmth = {"value": "4", "unit": "mph"}, {"value": "52", "unit": "f"}
    told = {"wind_speed": wind, "temperature": warmth, "humidity_percent": 61}
    pages.coordinator.does("weather_reading", "create", **read, **told, read_at=f"{ON}T08:30:00-05:00")
    pages.coordinator.does("weather_reading", "create", **read | {"moment": "end"}, read_at=f"{ON}T13:30:00-05:00")
    without = session_of(pages, weather=[], work_day=day.id)
    client, at = pages.coordinator.signed_in(), f"/sessions/{without}/complete/"

    page = client.get(at)
    offered = {name: page.context["form"].initial[name] for name in ("wind_speed", "wind_direction", "temperature")}
    send(client, at, **COMPLETED | {"read_at": "08:30"})

    assert "what somebody read on the work day, at 08:30" in body(page)
    assert offered == {"wind_speed": "4", "wind_direction": "wsw", "temperature": "52"}
    (reading,) = Session.objects.get(id=without).weather
    assert (reading["at"][11:16], reading["humidity_percent"]) == ("13:30", 61)
    assert "what somebody read on the work day" not in body(client.get(at))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"place_text": "P.O. Box 7"}, "A post-office box is no place."),
        ({"longitude": ""}, "Give both degrees, or neither."),
        ({"had_helpers": "yes"}, "Name everybody who was involved."),
        ({"incident": "spilled"}, "it is not answered with yes"),
        ({"wind_speed": "a breeze"}, "is not a number we can read"),
        ({"reason": ""}, "Please fill this in."),
    ],
)
def test_a_refused_completion_says_why_and_keeps_what_was_typed(pages, changes, words):
    id = session_of(pages)

    response = send(pages.coordinator.signed_in(), f"/sessions/{id}/complete/", **COMPLETED | changes)

    assert response.status_code in (400, 409)
    assert words in body(response)
    assert "hand sprayer, 1 L" in response.content.decode()


def test_a_record_goes_through_its_life_on_its_page(pages):
    volunteer, lead = pages.cast.volunteer, pages.coordinator
    licence(lead, lead, "2027-12-31")
    id = session_of(pages)
    assert "I applied it, and this record is right" not in shown(pages, lead, id)
    assert "I applied it, and this record is right" in shown(pages, volunteer, id)

    send(volunteer.signed_in(), f"/sessions/{id}/attest/")
    assert "Attested by Tobias Quill" in (words := shown(pages, lead, id)).replace("Attested  by", "Attested by")
    assert "I supervised it: countersign" in words
    assert "Lock the record" in words
    assert "Lock the record" not in shown(pages, volunteer, id)

    send(lead.signed_in(), f"/sessions/{id}/countersign/")
    send(lead.signed_in(), f"/sessions/{id}/lock/", reason="")
    words = shown(pages, lead, id)
    assert "State signed and locked" in words
    assert "Complete or correct the record" not in words
    assert lead.signed_in().get(f"/sessions/{id}/complete/").status_code == 404

    refused = send(lead.signed_in(), f"/sessions/{id}/unlock/", reason="")
    assert (refused.status_code, "Please fill this in." in body(refused)) == (400, True)
    send(lead.signed_in(), f"/sessions/{id}/unlock/", reason="two stems were forgotten")
    assert Session.objects.get(id=id).state == "countersigned"


def test_whoever_reads_a_record_sees_every_entry_of_the_book_about_it(pages):
    id = session_of(pages)
    send(pages.cast.volunteer.signed_in(), f"/sessions/{id}/attest/")
    send(pages.coordinator.signed_in(), f"/sessions/{id}/lock/", reason="he was alone")
    entries = Revision.objects.filter(record_id=id).order_by("rev")

    told = shown(pages, pages.cast.reviewer, id).split("In the record book")[1].replace("  ", " ")

    assert [entry.op for entry in entries] == ["create", "attest", "lock"]
    for entry, words in zip(entries, ("Entered by Maren", "Attested by Tobias", "Locked by Maren"), strict=True):
        assert words in told
        assert f"entry {entry.seq}, {entry.hash[:12]}" in told
    assert "he was alone" in told


def test_a_use_without_a_licence_that_nobody_answered_for_says_so_to_the_board(pages):
    id = session_of(pages)
    before = shown(pages, pages.cast.reviewer, id)
    send(pages.coordinator.signed_in(), f"/sessions/{id}/answer/", answer="He was sent home at noon")
    after = shown(pages, pages.cast.reviewer, id)

    assert "No coordinator has answered for this yet." in before
    assert "No coordinator has answered for this yet." not in after
    assert "He was sent home at noon" in after


def test_who_did_not_apply_it_is_refused_in_words(pages):
    id = session_of(pages)

    response = send(pages.cast.other_volunteer.signed_in(), f"/sessions/{id}/attest/")

    assert response.status_code == 409
    assert "Only the person who applied it can attest to this record" in body(response)


def test_a_contractors_use_is_recorded_and_attested_from_their_document(pages):
    party = pages.coordinator.does("contractor", "create", name="Bramble & Burr").record.id
    lead = pages.coordinator.signed_in()
    response = send(lead, "/record-use/", **use_of(pages, pages.ground.batch(), applicator=f"contractor:{party}"))
    id = Session.objects.get().id
    words = body(lead.get(response["Location"]))
    assert "Applied by Bramble & Burr (contractor)" in words
    assert "Recorded and marked: The last day of the contractor's licence is not on record." in words

    assert send(lead, f"/sessions/{id}/attest/", document="").status_code == 409
    send(lead, f"/sessions/{id}/attest/", document="Treatment record 14, 1 May 2027")

    assert "from: Treatment record 14, 1 May 2027" in shown(pages, pages.coordinator, id)


# -- the coordinator's home ------------------------------------------------------------------------


def test_the_home_lists_records_whose_time_runs_then_those_whose_time_ran_out(pages):
    own_rule(pages.coordinator, required=["site_type"])
    runs = session_of(pages, site_type="")
    yesterday = {"started_at": "2027-04-30T09:30:00-05:00", "ended_at": "2027-04-30T10:00:00-05:00"}
    session_of(pages, site_type="", **yesterday)

    words = body(pages.coordinator.signed_in().get("/"))

    assert "The county's rule: incomplete, 14.0 h left lacks what kind of place it is" in words
    assert "incomplete, and its time ran out 10.0 h ago" in words
    assert words.index("14.0 h left") < words.index("ran out 10.0 h ago")

    pages.coordinator.does("session", "amend", id=runs, reason="left out", site_type="forest")
    assert "14.0 h left" not in body(pages.coordinator.signed_in().get("/"))


def test_the_home_names_the_first_things_that_lack_and_counts_the_rest(pages):
    own_rule(pages.coordinator, required=["site_type", "equipment", "signature", "reentry", "temperature"])
    session_of(pages, site_type="", equipment="", reentry_note="", weather=[])

    words = body(pages.coordinator.signed_in().get("/"))

    assert (
        "lacks what kind of place it is; the equipment; the signature of the person who applied it; and 2 more" in words
    )


def test_a_record_that_is_late_and_locked_needs_nobody_any_more(pages):
    own_rule(pages.coordinator, required=["site_type"])
    id = session_of(pages, at=AT + timedelta(days=2))
    assert "complete, but late by" in body(pages.coordinator.signed_in().get("/"))

    pages.cast.volunteer.does("session", "attest", id=id)
    pages.coordinator.does("session", "lock", id=id, reason="no supervisor")

    assert "None: every record of the last 90 days" in body(pages.coordinator.signed_in().get("/"))
    assert ON == "2027-05-01"
