"""What a session and a line say beyond who, where and how much: the superset that inspectors' lists add up to."""

import pytest
from django.db import IntegrityError, transaction

from stewardship.errors import Unreadable
from stewardship.treatments.models import Application, Session
from stewardship.treatments.services.people import ApplicatorOrContractor, PersonTwice
from stewardship.treatments.services.sessions import AnswerUnclear, PostBoxIsNoPlace
from tests.ground import fl_oz
from tests.planning import licence
from tests.stewardship.treatments.records import tank_mix

pytestmark = pytest.mark.django_db

READING = {
    "at": "2027-05-01T09:30:00-05:00", "wind_speed": {"value": "4", "unit": "mph"}, "wind_direction": "wsw",
    "temperature": {"value": "52", "unit": "f"}, "humidity_percent": 61, "sky": "overcast",
}  # fmt: skip
LATER = {"at": "2027-05-01T10:40:00-05:00", "wind_direction": "w", "sky": "rain"}


def problems(refused):
    return [(each["pointer"], each["code"]) for each in refused.value.facts["errors"]]


def test_a_session_keeps_everything_that_was_told_of_it(ground, cast):
    told = {
        "supervisor": cast.volunteer.member.id, "helpers": [str(cast.other_volunteer.member.id)],
        "place_text": "East bank, below the footbridge", "site_type": "floodplain forest",
        "coordinates": {"latitude": "44.98", "longitude": "-93.27"}, "equipment": "hand sprayer, 1 L",
        "weather": [READING], "weather_changed": False, "reentry_note": "When dry; two signs at the trailhead",
        "had_incident": True, "incident": "A bottle fell over, a cup was taken up with sawdust",
        "for_a_customer": True, "customer": "Fenton Parks, 1 Mill Road",
    }  # fmt: skip

    said = Session.objects.get(id=ground.session(**told)).content()

    plain = {name: str(value) if name == "supervisor" else value for name, value in told.items() if name != "weather"}
    assert {name: said[name] for name in plain} == plain
    [reading] = said["weather"]
    assert reading["at"] == "2027-05-01T14:30:00.000000Z"
    assert reading["wind_speed"] == {"value": "4", "unit": "mph", "um_s": 1_788_160}  # 4 × 0.44704 m/s, exact
    assert reading["temperature"] == {"value": "52", "unit": "f", "mc": 11_111}  # (52 - 32) / 1.8 = 11.111 °C


def test_readings_stand_in_the_order_of_time(ground):
    session = Session.objects.get(id=ground.session(weather=[LATER, READING]))

    assert [reading["sky"] for reading in session.weather] == ["overcast", "rain"]


def test_a_question_that_nobody_answered_is_neither_yes_nor_no(ground):
    silent, nobody = ground.session(), ground.session(helpers=[], had_incident=False, for_a_customer=False)

    told = {s.id: (s.helpers, s.had_incident, s.for_a_customer) for s in Session.objects.all()}
    assert told == {silent: (None, None, None), nobody: ([], False, False)}


@pytest.mark.parametrize("question", [("had_incident", "incident"), ("for_a_customer", "customer")])
@pytest.mark.parametrize("answer", [None, False])
def test_what_is_told_without_a_yes_is_refused(ground, question, answer):
    asked, text = question

    with pytest.raises(AnswerUnclear) as refused:
        ground.session(**{asked: answer, text: "something"})

    assert refused.value.where == text


@pytest.mark.parametrize("place", ["P.O. Box 7", "PO box 7, Fenton", "Post Office Box 12"])
def test_a_post_box_is_no_place_neither_at_first_nor_corrected(ground, coordinator, place):
    session = ground.session()

    with pytest.raises(PostBoxIsNoPlace):
        ground.session(place_text=place)
    with pytest.raises(PostBoxIsNoPlace):
        coordinator.does("session", "amend", id=session, reason="found", place_text=place)


@pytest.mark.parametrize(
    ("values", "pointer"),
    [
        ({"coordinates": {"latitude": "90.1", "longitude": "0"}}, "/coordinates"),
        ({"coordinates": {"latitude": "44", "longitude": "-180.5"}}, "/coordinates"),
        ({"coordinates": {"latitude": "north", "longitude": "0"}}, "/coordinates"),
        ({"coordinates": {"latitude": "44"}}, "/coordinates/longitude"),
        ({"weather": [READING | {"humidity_percent": 101}]}, "/weather/0/humidity_percent"),
        ({"weather": [READING | {"wind_speed": {"value": "4", "unit": "f"}}]}, "/weather/0/wind_speed"),
        ({"weather": [READING | {"wind_direction": "up"}]}, "/weather/0/wind_direction"),
        ({"helpers": ["nobody"]}, "/helpers/0"),
    ],
)
def test_a_reading_or_place_that_cannot_be_read_says_where(ground, values, pointer):
    with pytest.raises(Unreadable) as refused:
        ground.session(**values)

    assert [where for where, _ in problems(refused)] == [pointer]


@pytest.mark.parametrize("values", [{"on_date_to": "2027-05-03"}, {"from_date": "2027-05-01"}, {"dates": []}])
def test_a_record_has_one_date_and_no_range_of_them(ground, values):
    """Date ranges that lump applications: common problems, New York Pesticide Reporting Law guidance."""
    with pytest.raises(Unreadable) as refused:
        ground.session(**values)

    [(where, code)] = problems(refused)
    assert (where.strip("/"), code) == (next(iter(values)), "field_unknown")


def test_a_tank_mix_stays_one_line_with_a_row_for_each_product(ground):
    """ "Tank mix of two products on one line": the export has a row for each, the record one date and one place."""
    line = ground.line(ground.session(), ground.batch(**tank_mix(ground)), "5")

    uses = Application.objects.get(id=line.id).product_uses.all()
    assert sorted((use.product.registration_no, use.application.on_date.isoformat()) for use in uses) == [
        ("99990-101", "2027-05-01"), ("99990-102", "2027-05-01"),
    ]  # fmt: skip


# -- people ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("who", ["applicator", "supervisor"])
def test_each_person_is_named_once(ground, cast, who):
    with pytest.raises(PersonTwice):
        ground.session(supervisor=cast.volunteer.member.id, helpers=[str(_named(cast, who))])
    with pytest.raises(PersonTwice):
        ground.session(helpers=[str(cast.volunteer.member.id)] * 2)


def _named(cast, who):
    return {"applicator": cast.coordinator, "supervisor": cast.volunteer}[who].member.id


def test_a_supervisor_without_a_credential_on_that_date_is_marked(ground, cast, coordinator):
    licence(coordinator, coordinator, "2027-12-31")
    licence(coordinator, cast.volunteer, "2027-04-30")

    marks = Session.objects.get(id=ground.session(supervisor=cast.volunteer.member.id)).marks

    assert [(mark["code"], mark["field"]) for mark in marks] == [("credential_expired", "supervisor")]


def test_another_supervisor_is_judged_anew_and_the_lines_follow(ground, cast, coordinator):
    licence(coordinator, coordinator, "2027-12-31")
    licence(coordinator, cast.other_volunteer, "2027-12-31")
    session = ground.session(supervisor=cast.volunteer.member.id)
    line = ground.line(session, ground.batch(), "5")
    assert [mark["field"] for mark in line.marks] == ["supervisor"]

    coordinator.does("session", "amend", id=session, reason="it was she", supervisor=cast.other_volunteer.member.id)

    assert Session.objects.get(id=session).marks == Application.objects.get(id=line.id).marks == []


# -- areas and waits -------------------------------------------------------------------------------


def test_a_line_tells_gross_and_infested_area_the_longest_wait_and_that_it_is_a_spot(ground):
    acre = {"value": "2", "unit": "acre"}
    told = {"area": acre, "infested_area": {"value": "0.5", "unit": "acre"}, "longest_wait": "1_to_5_min"}

    said = ground.line(ground.session(), ground.batch(), "5", is_spot=True, **told).content()

    assert (said["longest_wait"], said["is_spot"]) == ("1_to_5_min", True)
    assert said["area"]["mm2"] == 8_093_712_845  # an acre is 4,046.8564224 m²
    assert said["infested_area"]["mm2"] == 2_023_428_211


def test_an_infested_area_may_be_withdrawn_and_may_fill_the_whole(ground, coordinator):
    acre = {"value": "2", "unit": "acre"}
    line = ground.line(ground.session(), ground.batch(), "5", area=acre, infested_area=acre)

    coordinator.does("application", "amend", id=line.id, reason="not measured", infested_area=None)

    assert Application.objects.get(id=line.id).content()["infested_area"] is None


def test_the_database_keeps_the_infested_area_within_the_treated_one(ground):
    line = ground.line(ground.session(), ground.batch(), "5", area={"value": "1", "unit": "m2"})

    with pytest.raises(IntegrityError), transaction.atomic():
        Application.objects.filter(id=line.id).update(infested_area_mm2=2_000_000)


# -- contractors -----------------------------------------------------------------------------------


def contractor(coordinator, **values):
    told = {
        "name": "Bramble & Burr Land Care", "licence_number": "B-77", "licence_valid_to": "2027-12-31",
        "insurance_number": "P-5", "insurance_valid_to": "2027-12-31",
    }  # fmt: skip
    return coordinator.does("contractor", "create", **told | values).record.id


def test_a_contractors_session_names_no_applicator(ground, coordinator):
    session = Session.objects.get(id=ground.session(applicator=None, contractor=contractor(coordinator)))

    assert (session.applicator, session.done_by, session.marks) == (None, "Bramble & Burr Land Care", [])


def test_a_session_is_one_partys(ground, coordinator):
    party, session = contractor(coordinator), ground.session()

    for values in ({"applicator": None}, {"contractor": party}):
        with pytest.raises(ApplicatorOrContractor):
            ground.session(**values)
        with pytest.raises(ApplicatorOrContractor):
            coordinator.does("session", "amend", id=session, reason="misread", **values)
    with pytest.raises(IntegrityError), transaction.atomic():
        Session.objects.filter(id=session).update(applicator=None)


@pytest.mark.parametrize(
    ("values", "code"),
    [
        ({}, None),
        ({"licence_valid_to": "2027-05-01"}, None),
        ({"licence_valid_to": "2027-04-30"}, "contractor_licence_ended"),
        ({"licence_valid_to": None}, "contractor_licence_unknown"),
        ({"insurance_valid_to": "2027-04-30"}, "contractor_insurance_ended"),
        ({"insurance_valid_to": None}, "contractor_insurance_unknown"),
    ],
)
def test_a_contractors_papers_are_judged_by_the_date_for_ever(ground, coordinator, values, code):
    party = contractor(coordinator, **values)
    session = ground.session(applicator=None, contractor=party)

    coordinator.does("contractor", "amend", id=party, licence_valid_to="2030-01-01", insurance_valid_to="2030-01-01")

    marks = Session.objects.get(id=session).marks
    assert [(mark["code"], mark["field"]) for mark in marks] == ([(code, "contractor")] if code else [])
    assert all(mark["detail"].endswith(".") for mark in marks)


def test_a_session_handed_to_a_contractor_loses_the_marks_of_its_applicator(ground, coordinator):
    session = ground.session()
    line = ground.line(session, ground.batch(), "5")
    assert [mark["code"] for mark in line.marks] == ["credential_missing"]

    values = {"applicator": None, "contractor": contractor(coordinator, licence_valid_to="2027-04-30")}
    coordinator.does("session", "amend", id=session, reason="they did it", **values)

    codes = [mark["code"] for mark in Application.objects.get(id=line.id).marks]
    assert codes == ["contractor_licence_ended"]


def test_the_amount_is_what_it_was_whoever_applied_it(ground, coordinator):
    session = ground.session(applicator=None, contractor=contractor(coordinator))

    assert ground.line(session, ground.batch(), "5").mix_value == fl_oz("5")["value"]
