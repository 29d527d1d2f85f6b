"""A session: its local date, its day, its applicator's licence."""

import pytest
from django.db import IntegrityError, connection

from stewardship.errors import AlreadyVoided, Unavailable, Unreadable
from stewardship.treatments.models import Application, Session
from stewardship.treatments.services.facts import NotVoided
from stewardship.treatments.services.sessions import AlreadyEnded, EndsBeforeItBegins, SessionInUse
from stewardship.workdays.models import WorkDay
from tests.planning import ON, Plan, at, licence

pytestmark = pytest.mark.django_db(transaction=True)

NINE, TEN = "2027-05-01T09:30:00-05:00", "2027-05-01T10:30:00-05:00"


def codes(record):
    return [mark["code"] for mark in record.marks]


@pytest.mark.parametrize(
    ("moment", "on_date"),
    [
        ("2027-03-14T05:50:00Z", "2027-03-13"),  # 23:50 in winter time, on the eve of summer time
        ("2027-03-14T08:30:00Z", "2027-03-14"),  # 3:30 by the clock that has just leapt from two to three
        ("2027-03-15T04:50:00Z", "2027-03-14"),  # 23:50 in summer time
        ("2027-03-15T05:10:00Z", "2027-03-15"),
        ("2027-11-07T04:50:00Z", "2027-11-06"),  # 23:50 in summer time, on the eve of winter time
        ("2027-11-07T06:30:00Z", "2027-11-07"),  # 1:30, the first of two
        ("2027-11-08T05:50:00Z", "2027-11-07"),  # 23:50 in winter time, an hour later by the world's clock
        ("2027-11-08T06:10:00Z", "2027-11-08"),
    ],
)
def test_a_session_has_the_date_of_the_clock_on_the_wall(ground, moment, on_date):
    """Summer time in the United States begins on 14 March and ends on 7 November 2027 (15 U.S.C. 260a)."""
    session = Session.objects.get(id=ground.session(started_at=moment))

    assert (session.on_date.isoformat(), session.time_zone) == (on_date, "America/Chicago")


@pytest.mark.parametrize(("zone", "on_date"), [("America/Denver", "2027-05-01"), ("", "2027-05-02")])
def test_the_wall_is_the_propertys_else_the_groups(ground, coordinator, zone, on_date):
    far = coordinator.does("property", "create", name="Far Field", time_zone=zone).record.id
    unit = coordinator.does("unit", "create", property=far, name="All of it").record.id

    session = Session.objects.get(id=ground.session(unit=unit, started_at="2027-05-02T05:50:00Z"))

    assert (session.on_date.isoformat(), session.property_id) == (on_date, far)


def test_a_session_may_last_past_midnight(ground, coordinator):
    id = ground.session(started_at="2027-05-01T23:50:00-05:00")

    coordinator.does("session", "end", id=id, ended_at="2027-05-02T00:20:00-05:00")

    assert Session.objects.get(id=id).on_date.isoformat() == "2027-05-01"


@pytest.mark.parametrize("field", ["unit", "applicator", "work_day"])
def test_a_session_of_something_unknown_is_refused(ground, stranger, field):
    with pytest.raises(Unavailable):
        ground.session(**{field: stranger.member.id})


# -- the end -------------------------------------------------------------------------------------


def test_an_end_before_the_beginning_is_refused(ground, coordinator):
    with pytest.raises(EndsBeforeItBegins) as refused:
        ground.session(started_at=TEN, ended_at=NINE)

    id = ground.session(started_at=TEN)
    with pytest.raises(EndsBeforeItBegins):
        coordinator.does("session", "end", id=id, ended_at=NINE)
    with pytest.raises(EndsBeforeItBegins):
        coordinator.does("session", "amend", id=id, reason="misread", ended_at=NINE)
    coordinator.does("session", "end", id=id, ended_at=TEN)
    with pytest.raises(EndsBeforeItBegins):
        coordinator.does("session", "amend", id=id, reason="misread", started_at="2027-05-01T10:30:01-05:00")

    assert (refused.value.code, refused.value.where) == ("ends_before_it_begins", "ended_at")


def test_a_session_ends_once_and_is_corrected_after_that(ground, coordinator):
    id = ground.session()
    coordinator.does("session", "end", id=id, ended_at=TEN)

    again = coordinator.does("session", "end", id=id, ended_at=TEN)
    with pytest.raises(AlreadyEnded) as refused:
        coordinator.does("session", "end", id=id, ended_at="2027-05-01T11:00:00-05:00")
    reopened = coordinator.does("session", "amend", id=id, reason="not yet over", ended_at=None).record

    assert (again.result["outcome"], refused.value.code) == ("noop", "already_ended")
    assert reopened.ended_at is None


def test_the_database_keeps_the_order_of_the_times(ground):
    ground.session(ended_at=TEN)

    with pytest.raises(IntegrityError, match="a_session_ends_after_it_begins"), connection.cursor() as cursor:
        cursor.execute("UPDATE treatments_session SET ended_at = %s", ["2027-05-01 01:00:00"])


# -- the day -------------------------------------------------------------------------------------


def test_the_first_session_sets_a_confirmed_day_under_way(ground, cast):
    plan = Plan(cast.coordinator).staffed(cast.volunteer)
    plan.does("confirm")

    id = ground.session(cast.volunteer, unit=plan.unit, work_day=plan.id, started_at=at("9:30"))

    assert WorkDay.objects.get(id=plan.id).state == "under_way"
    assert (codes(Session.objects.get(id=id)), WorkDay.objects.get(id=plan.id).rev) == ([], 4)


@pytest.mark.parametrize(
    ("ops", "state", "code"),
    [
        ((), "draft", "day_not_confirmed"),
        (("open",), "open", "day_not_confirmed"),
        (("cancel",), "cancelled", "day_cancelled"),
        (("open", "attend", "finish", "answer", "close"), "closed", "day_closed"),
    ],
)
def test_work_on_a_day_that_was_not_for_it_is_recorded_and_marked(ground, cast, ops, state, code):
    licence(cast.coordinator, cast.volunteer, "2027-12-31")
    plan = Plan(cast.coordinator)
    for op in ops:
        if op == "attend":
            plan.comes(cast.volunteer, out_at=at("11:00"), how_known="measured", age_class="adult")
        elif op == "answer":
            plan.answers()
        else:
            cast.coordinator.does("work_day", op, id=plan.id, reason="heat" if op == "cancel" else "")

    id = ground.session(cast.volunteer, unit=plan.unit, work_day=plan.id, started_at=at("9:30"))

    assert (plan.day.state, codes(Session.objects.get(id=id))) == (state, [code])


def test_another_property_or_date_than_the_work_days_is_marked(ground, cast):
    licence(cast.coordinator, cast.volunteer, "2027-12-31")
    plan = Plan(cast.coordinator).does("open") and Plan(cast.coordinator).staffed(cast.volunteer)
    plan.does("confirm")

    id = ground.session(cast.volunteer, work_day=plan.id)

    assert codes(Session.objects.get(id=id)) == ["other_property", "other_date"]


# -- the licence ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("expires_on", "values", "code"),
    [
        ("2027-04-30", {}, "credential_expired"),
        ("2027-04-30", {"grace_days": 30}, "credential_in_grace"),
        ("2028-04-30", {"issued_on": "2027-05-02", "received_on": None}, "credential_pending"),
        ("2028-04-30", {"received_on": "2027-05-02"}, "credential_pending"),
        ("2028-04-30", {"covers": "saw"}, "credential_missing"),
        ("2027-05-01", {}, None),
    ],
    ids=str,
)
def test_a_licence_that_did_not_count_is_marked_and_never_refused(ground, cast, expires_on, values, code):
    licence(cast.coordinator, cast.volunteer, expires_on, **values)

    done = cast.volunteer.does(
        "session", "create", unit=ground.unit, applicator=cast.volunteer.member.id, started_at=NINE
    )
    line = ground.line(done.record.id, ground.batch(), "5", cast.volunteer)

    assert [mark["code"] for mark in done.result.get("warnings", [])] == ([code] if code else [])
    assert line.marks == done.record.marks


def test_the_mark_tells_the_number_as_it_stood_and_no_name(ground, cast):
    licence(cast.coordinator, cast.volunteer, "2027-04-30")

    (mark,) = Session.objects.get(id=ground.session(cast.volunteer)).marks

    assert mark["detail"].endswith("QX-4471 ended on 30 April 2027. It did not count on 1 May 2027.")
    assert (mark["field"], mark["source"]) == ("applicator", "State Department of Agriculture")


def test_a_renewal_cures_nothing(ground, cast):
    licence(cast.coordinator, cast.volunteer, "2027-04-30")
    id = ground.session(cast.volunteer)
    line = ground.line(id, ground.batch(), "5", cast.volunteer)
    before = line.marks

    licence(cast.coordinator, cast.volunteer, "2029-04-30", issued_on="2027-05-05", received_on="2027-05-05")
    who = cast.volunteer.member.id
    cast.volunteer.does("session", "amend", id=id, reason="earlier", started_at="2027-05-01T08:00:00-05:00")
    cast.volunteer.does("session", "amend", id=id, reason="the same", applicator=who, note="again")

    assert codes(Session.objects.get(id=id)) == ["credential_expired"]
    assert Application.objects.get(id=line.id).marks == before


def test_another_applicator_or_date_is_judged_anew_and_the_lines_follow(ground, cast):
    licence(cast.coordinator, cast.volunteer, "2027-05-01")
    id = ground.session(cast.other_volunteer)
    line = ground.line(id, ground.batch(), "5")
    gone = ground.line(id, ground.batch(), "5")
    cast.coordinator.does("application", "void", id=gone.id, reason="typed twice")

    def now():
        return [codes(record) for record in (Session.objects.get(id=id), *Application.objects.all())]

    before = now()
    cast.coordinator.does("session", "amend", id=id, reason="it was he", applicator=cast.volunteer.member.id)
    his = now()
    cast.coordinator.does("session", "amend", id=id, reason="a day on", started_at="2027-05-02T09:00:00-05:00")

    assert (before, his) == ([["credential_missing"]] * 3, [[]] * 3)
    assert now() == [["credential_expired"]] * 3
    assert {line.on_date.isoformat() for line in Application.objects.all()} == {"2027-05-02"}
    assert Application.objects.get(id=line.id).rev == 3


def test_a_session_moved_to_the_date_of_its_work_day_loses_that_mark_alone(ground, cast):
    plan = Plan(cast.coordinator)
    id = ground.session(cast.volunteer, unit=plan.unit, work_day=plan.id)
    before = codes(Session.objects.get(id=id))

    cast.volunteer.does("session", "amend", id=id, reason="wrong month", started_at=f"{ON}T09:30:00-05:00")

    assert before == ["day_not_confirmed", "other_date", "credential_missing"]
    assert codes(Session.objects.get(id=id)) == ["day_not_confirmed", "credential_missing"]


# -- voiding -------------------------------------------------------------------------------------


def test_a_session_with_lines_that_count_is_not_voided(ground, coordinator):
    id = ground.session()
    line = ground.line(id, ground.batch(), "5")

    with pytest.raises(SessionInUse) as refused:
        coordinator.does("session", "void", id=id, reason="typed twice")
    coordinator.does("application", "void", id=line.id, reason="typed twice")

    assert refused.value.code == "session_in_use"
    assert coordinator.does("session", "void", id=id, reason="typed twice").record.voided_at


def test_a_voided_session_takes_no_line_no_end_and_no_correction(ground, coordinator):
    id, batch = ground.session(), ground.batch()
    line = ground.line(id, batch, "5")
    for kind, target in (("application", line.id), ("session", id)):
        coordinator.does(kind, "void", id=target, reason="typed twice")

    with pytest.raises(AlreadyVoided):
        ground.line(id, batch, "5")
    with pytest.raises(AlreadyVoided):
        coordinator.does("session", "end", id=id, ended_at=TEN)
    with pytest.raises(AlreadyVoided):
        coordinator.does("session", "amend", id=id, reason="misread", note="x")
    with pytest.raises(AlreadyVoided):
        coordinator.does("application", "reinstate", id=line.id, reason="it was real")
    coordinator.does("session", "reinstate", id=id, reason="it was real")

    assert coordinator.does("application", "reinstate", id=line.id, reason="it was real").record.voided_at is None
    with pytest.raises(NotVoided):
        coordinator.does("session", "reinstate", id=id, reason="it was real")


def test_a_session_without_an_offset_is_refused_where_it_stands(ground):
    with pytest.raises(Unreadable) as refused:
        ground.session(started_at="2027-05-01T09:00:00")

    assert [each["pointer"] for each in refused.value.facts["errors"]] == ["/started_at"]


def test_a_session_that_was_on_paper_first_says_who_wrote_it_and_when(ground, coordinator, volunteer):
    told = {"written_by": str(volunteer.member.id), "written_at": TEN}
    session = Session.objects.get(id=ground.session(**told))
    assert (session.written_by_id, session.entered_by_id) == (volunteer.member.id, coordinator.person.id)

    amended = coordinator.does("session", "amend", id=session.id, reason="typed here", written_by=None, written_at=None)
    assert (amended.record.written_by_id, amended.record.written_at) == (None, None)


@pytest.mark.parametrize("missing", ["written_by", "written_at"])
def test_a_writer_without_a_time_or_a_time_without_a_writer_is_told(ground, coordinator, volunteer, missing):
    told = {"written_by": str(volunteer.member.id), "written_at": TEN} | {missing: None}
    half = {name: value for name, value in told.items() if name != missing}

    with pytest.raises(Unreadable):
        ground.session(**told)
    session = ground.session()
    for values in (told, half):
        with pytest.raises(Unreadable):
            coordinator.does("session", "amend", id=session, reason="misread", **values)
