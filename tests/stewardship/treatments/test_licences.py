"""Who was licensed for what was done: judged by its date for ever, kept as it stood, answered and never cured."""

import pytest

from stewardship.closeout.services import DayNotClosable
from stewardship.errors import NotPermitted
from stewardship.treatments.models import Application, Batch, Session
from stewardship.treatments.services.answers import RestrictedUnanswered
from stewardship.treatments.services.crews import CrewUnlicensed
from stewardship.workdays.reasons import DayNotReady, NotQualified
from tests.credentials import enters, kind
from tests.ground import lay_out
from tests.planning import licence
from tests.stewardship.treatments.licensed import ANSWER, TEN, crew, restrict
from tests.stewardship.treatments.refusals_of_plans import plan

STUMPS = {"code": "1D", "methods": ["cut_stump"]}


@pytest.fixture
def ground(coordinator):
    return lay_out(coordinator)


def codes(record, *fields):
    return [mark["code"] for mark in record.marks if not fields or mark["field"] in fields]


# -- category, product, land -----------------------------------------------------------------------


def test_1d_holder_on_basal_bark_is_flagged_and_on_cut_stumps_not(coordinator, ground):
    """Kansas: sub-category 1D covers cut stumps only. Source: K-State eUpdate 104."""
    enters(coordinator, coordinator, kind(coordinator, categories=[STUMPS, {"code": "1A"}]), categories=["1D"])
    session, batch = ground.session(), ground.batch()

    stumps = ground.line(session, batch, "5", method="cut_stump")
    bark = ground.line(session, batch, "5")

    assert codes(Session.objects.get(id=session), "applicator") == codes(stumps, "applicator") == []
    assert codes(bark, "applicator") == ["credential_wrong_category"]


def test_a_corrected_method_is_judged_anew_and_an_amount_is_not(coordinator, ground):
    enters(coordinator, coordinator, kind(coordinator, categories=[STUMPS]), categories=["1D"])
    line = ground.line(ground.session(), ground.batch(), "5")

    coordinator.does("application", "amend", id=line.id, stems=12, reason="counted later")
    assert codes(Application.objects.get(id=line.id), "applicator") == ["credential_wrong_category"]
    coordinator.does("application", "amend", id=line.id, method="cut_stump", reason="misread")

    assert codes(Application.objects.get(id=line.id), "applicator") == []


def test_another_applicator_is_judged_for_each_line(cast, ground):
    enters(cast.coordinator, cast.coordinator, kind(cast.coordinator, categories=[STUMPS]), categories=["1D"])
    licence(cast.coordinator, cast.volunteer, "2027-12-31")
    session = ground.session()
    line = ground.line(session, ground.batch(), "5")

    told = {"applicator": cast.volunteer.member.id, "reason": "it was Tobias"}
    cast.coordinator.does("session", "amend", id=session, **told)

    assert codes(Application.objects.get(id=line.id), "applicator") == []
    [kept] = Session.objects.get(id=session).credentials
    assert (kept["member"], kept["number"]) == (str(cast.volunteer.member.id), "QX-4471")


def test_a_certificate_for_another_land_is_flagged_on_the_session(coordinator, ground):
    other = coordinator.does("property", "create", name="Otter Flats").record.id
    enters(coordinator, coordinator, kind(coordinator, names_properties=True), properties=[str(other)])

    session = Session.objects.get(id=ground.session())

    [mark] = [each for each in session.marks if each["field"] == "applicator"]
    assert mark["code"] == "credential_wrong_land"
    assert "Heron Bend is not one of them" in mark["detail"]


def test_a_certificate_for_another_product_is_flagged_on_batch_and_line(coordinator, ground):
    enters(coordinator, coordinator, kind(coordinator, names_products=True), products=[str(ground.powder())])

    batch = ground.batch()
    line = ground.line(ground.session(), batch, "5")

    assert codes(Batch.objects.get(id=batch), "mixed_by") == ["credential_wrong_product"]
    assert codes(line, "applicator") == ["credential_wrong_product"]


# -- as it stood -----------------------------------------------------------------------------------


def test_the_snapshot_is_unchanged_by_renewal_and_by_correction(coordinator, ground):
    held = licence(coordinator, coordinator, "2027-12-31")
    session, batch = ground.session(), ground.batch()
    before = [Session.objects.get(id=session).content(), Batch.objects.get(id=batch).content()]

    licence(coordinator, coordinator, "2029-12-31", number="QX-5002", issued_on="2027-05-05", received_on="2027-05-05")
    coordinator.does("credential", "amend", id=held, number="QX-9999", expires_on="2027-04-30", reason="misread")

    after = [Session.objects.get(id=session).content(), Batch.objects.get(id=batch).content()]
    assert after == before
    [kept] = after[0]["credentials"]
    assert (kept["number"], kept["status"], kept["ends_on"]) == ("QX-4471", "valid", "2027-12-31")
    assert (kept["role"], kept["authority"]) == ("applicator", "State Department of Agriculture")


def test_a_correction_of_something_else_keeps_what_stood(coordinator, ground):
    held = licence(coordinator, coordinator, "2027-12-31")
    session, batch = ground.session(), ground.batch()
    coordinator.does("credential", "amend", id=held, number="QX-9999", reason="misread")

    coordinator.does("session", "amend", id=session, note="by the gate", reason="left out")
    coordinator.does("batch", "amend", id=batch, mixed_where="at the shed", reason="left out")

    for record in (Session.objects.get(id=session), Batch.objects.get(id=batch)):
        assert [kept["number"] for kept in record.credentials] == ["QX-4471"]


def test_who_held_nothing_is_kept_as_such(coordinator, ground):
    [kept] = Session.objects.get(id=ground.session()).credentials

    assert (kept["status"], kept["number"], kept["ends_on"]) == ("missing", "", None)


def test_both_cards_of_who_holds_two_are_kept(coordinator, ground):
    id = kind(coordinator, categories=[STUMPS, {"code": "1A"}])
    for number, code in (("A-1", "1A"), ("D-1", "1D")):
        enters(coordinator, coordinator, id, number=number, categories=[code])
    session = ground.session()

    assert codes(ground.line(session, ground.batch(), "5"), "applicator") == []
    kept = Session.objects.get(id=session).credentials
    assert {(each["number"], *each["categories"]) for each in kept} == {("A-1", "1A"), ("D-1", "1D")}


def test_mixing_without_a_licence_is_marked(volunteer, ground):
    batch = Batch.objects.get(id=ground.batch(volunteer))

    assert codes(batch, "mixed_by") == ["credential_missing"]
    assert [kept["status"] for kept in batch.credentials] == ["missing"]


# -- restricted use --------------------------------------------------------------------------------


def test_a_restricted_product_without_anybody_licensed_is_recorded_and_marked(coordinator, ground):
    restrict(ground)
    enters(coordinator, coordinator, kind(coordinator))

    batch = ground.batch()
    line = ground.line(ground.session(), batch, "5")

    both = ["credential_not_for_restricted", "restricted_use_unlicensed"]
    assert codes(Batch.objects.get(id=batch), "mixed_by") == both
    assert codes(line, "applicator") == both


def test_a_licensed_supervisor_lifts_the_gate_and_no_mark_of_the_applicator(cast, ground):
    restrict(ground)
    enters(cast.coordinator, cast.volunteer, kind(cast.coordinator, admits_restricted=True))

    session = ground.session(supervisor=cast.volunteer.member.id)
    line = ground.line(session, ground.batch(), "5")

    assert codes(line, "applicator", "supervisor") == ["credential_missing"]


def test_the_day_is_not_closed_before_restricted_use_is_answered_for_and_the_mark_stays(coordinator, ground):
    restrict(ground)
    told = {"property": ground.property, "title": "Buckthorn", "on_date": "2027-05-01", "units": [str(ground.unit)]}
    day = coordinator.does("work_day", "create", **told).record.id
    coordinator.does("work_day", "open", id=day)
    session, batch = ground.session(work_day=day, ended_at=TEN), ground.batch(work_day=day)
    line = ground.line(session, batch, "64")

    def still_open():
        with pytest.raises(DayNotClosable) as refused:
            coordinator.does("work_day", "close", id=day)
        found = refused.value.facts["reasons"]
        return [each["where"] for each in found if each["code"] == "restricted_use_unanswered"]

    assert still_open() == [f"sessions/{session}", f"batches/{batch}"]
    coordinator.does("session", "answer", id=session, **ANSWER)
    assert still_open() == [f"batches/{batch}"]
    coordinator.does("batch", "answer", id=batch, **ANSWER)
    assert still_open() == []
    assert "restricted_use_unlicensed" in codes(Application.objects.get(id=line.id))
    answered = Session.objects.get(id=session)
    assert (answered.answer_document, answered.answered_by_id) == ("letter of 3 May", coordinator.member.id)


def test_an_answer_is_a_coordinators_and_is_asked_before_the_record_is_locked(coordinator, volunteer, ground):
    restrict(ground)
    session = ground.session(ended_at=TEN)
    ground.line(session, ground.batch(), "5")
    coordinator.does("session", "attest", id=session)
    with pytest.raises(NotPermitted):
        volunteer.does("session", "answer", id=session, **ANSWER)
    with pytest.raises(RestrictedUnanswered):
        coordinator.does("session", "lock", id=session, reason="as it is")

    coordinator.does("session", "answer", id=session, **ANSWER)

    assert coordinator.does("session", "lock", id=session, reason="as it is").record.state == "locked"


def test_a_restricted_mix_is_not_planned_for_a_crew_without_a_licence_for_it(cast, ground):
    restrict(ground)
    day = crew(cast, ground)

    with pytest.raises(CrewUnlicensed) as refused:
        plan(ground, work_day=day, planned_on="2027-07-01")

    assert [reason["code"] for reason in refused.value.facts["reasons"]] == ["restricted_use_unlicensed"]
    assert plan(ground, planned_on="2027-07-01")


def test_a_restricted_mix_is_planned_where_somebody_is_licensed_for_it(cast, ground):
    day = crew(cast, restrict(ground), admits_restricted=True)

    plan(ground, work_day=day, planned_on="2027-07-01")

    assert cast.coordinator.does("work_day", "confirm", id=day).record.state == "confirmed"


# -- plans -----------------------------------------------------------------------------------------


def test_a_day_with_a_planned_mix_that_no_applicator_is_qualified_for_is_not_confirmed(cast, ground):
    day = crew(cast, ground)
    [held] = cast.volunteer.member.credentials.all()
    told = {"products": [str(ground.powder())], "reason": "it names its products"}
    plan(ground, work_day=day, planned_on="2027-07-01")
    cast.coordinator.does("credential", "amend", id=held.id, **told)

    with pytest.raises(DayNotReady) as refused:
        cast.coordinator.does("work_day", "confirm", id=day)

    found = [reason["code"] for reason in refused.value.facts["reasons"]]
    assert found == ["credential_wrong_product", "plan_not_covered"]


# -- supervision -----------------------------------------------------------------------------------


@pytest.fixture
def ten_to_one(coordinator):
    """Give a ratio of 1 to 10, as in an Indiana rule. Source: 355 IAC 7-3-4(d)."""
    told = {"name": "Ten to one", "source": "355 IAC 7-3-4(d), Indiana", "jurisdiction": "US-IN"}
    coordinator.does("rule_profile", "create", **told, supervised_per_licensed=10)
    coordinator.does("group", "amend", id=coordinator.group_id, jurisdiction="US-IN")


def helpers(coordinator, count):
    told = ({"display_name": f"Helper {n}", "role": "volunteer"} for n in range(count))
    return [str(coordinator.does("member", "create", **each).record.id) for each in told]


@pytest.mark.parametrize(("helping", "marked"), [(9, []), (10, ["too_many_supervised"])])
def test_the_eleventh_under_one_supervisor_is_marked_with_the_source(cast, ground, ten_to_one, helping, marked):
    licence(cast.coordinator, cast.volunteer, "2027-12-31")
    told = {"supervisor": cast.volunteer.member.id, "helpers": helpers(cast.coordinator, helping)}

    session = Session.objects.get(id=ground.session(**told, voice_contact="within call, radio on channel 3"))

    assert codes(session, "helpers") == marked
    assert [each["source"] for each in session.marks if each["field"] == "helpers"] == [
        "355 IAC 7-3-4(d), Indiana" for _ in marked
    ]
    assert session.voice_contact == "within call, radio on channel 3"


def test_helpers_with_a_licence_of_their_own_are_not_supervised(cast, ground, ten_to_one):
    for someone in (cast.volunteer, cast.other_volunteer):
        licence(cast.coordinator, someone, "2027-12-31")
    others = [*helpers(cast.coordinator, 9), str(cast.other_volunteer.member.id)]

    session = ground.session(supervisor=cast.volunteer.member.id, helpers=others)

    assert codes(Session.objects.get(id=session), "helpers") == []


def test_helpers_told_later_are_counted_then(cast, ground, ten_to_one):
    licence(cast.coordinator, cast.volunteer, "2027-12-31")
    session = ground.session(supervisor=cast.volunteer.member.id)
    told = {"helpers": helpers(cast.coordinator, 10), "reason": "told later"}

    cast.coordinator.does("session", "amend", id=session, **told)
    assert codes(Session.objects.get(id=session), "helpers") == ["too_many_supervised"]
    cast.coordinator.does("session", "amend", id=session, helpers=told["helpers"][:9], reason="one was at home")

    assert codes(Session.objects.get(id=session), "helpers") == []


def test_the_third_helper_under_a_ratio_of_two_is_refused(cast, ground):
    told = {"name": "Two to one", "source": "An invented ordinance", "jurisdiction": "US-IN"}
    lead = cast.coordinator
    lead.does("rule_profile", "create", **told, supervised_per_licensed=2)
    lead.does("group", "amend", id=lead.group_id, jurisdiction="US-IN")
    day = crew(cast, ground)
    duty = lead.does("duty", "create", work_day=day, name="helper", wanted=3).record.id
    first, second, third = helpers(lead, 3)
    for each in (first, second):
        lead.does("sign_up", "create", work_day=day, duty=duty, member=each)

    with pytest.raises(NotQualified, match="at most 2 for each") as refused:
        lead.does("sign_up", "create", work_day=day, duty=duty, member=third)

    assert [reason["code"] for reason in refused.value.facts["reasons"]] == ["too_many_supervised"]
