"""The life of a session's record: attested, countersigned, locked; corrected, never erased."""

import pytest

from stewardship.errors import NotPermitted, ReasonMissing
from stewardship.journal.models import Revision
from stewardship.treatments.models import Application, Session
from stewardship.treatments.services.signatures import DocumentMissing, Locked, NotTheApplicator, NotTheSupervisor
from tests.cast import sent
from tests.planning import licence

pytestmark = pytest.mark.django_db

NINE, TEN = "2027-05-01T09:00:00-05:00", "2027-05-01T10:00:00-05:00"


@pytest.fixture
def session(ground, volunteer):
    """Give a session of the volunteer's, ended, with one line, which the coordinator typed."""
    id = ground.session(applicator=volunteer.member.id, started_at=NINE, ended_at=TEN)
    ground.line(id, ground.batch(), "5", stems=40)
    return id


def read(id):
    return Session.objects.get(id=id)


def test_an_applicator_attests_and_nobody_for_him_not_even_who_typed_it(session, cast, volunteer, other_volunteer):
    for someone in (cast.coordinator, other_volunteer):
        with pytest.raises(NotTheApplicator):
            someone.does("session", "attest", id=session)

    volunteer.does("session", "attest", id=session)

    assert (read(session).state, read(session).attested_by_id) == ("attested", volunteer.member.id)


def test_attesting_twice_changes_nothing(session, volunteer):
    volunteer.does("session", "attest", id=session)

    assert volunteer.does("session", "attest", id=session).result["outcome"] == "noop"


def test_a_contractors_record_is_attested_by_a_coordinator_from_their_document(ground, coordinator, volunteer):
    party = coordinator.does("contractor", "create", name="Bramble & Burr").record.id
    id = ground.session(applicator=None, contractor=party, started_at=NINE, ended_at=TEN)
    document = {"document": "Treatment record 14 of 1 May 2027"}

    with pytest.raises(NotTheApplicator):
        volunteer.does("session", "attest", id=id, **document)
    coordinator.does("session", "attest", id=id, **document)

    assert (read(id).state, read(id).attested_from) == ("attested", document["document"])


def test_who_signed_a_sheet_by_hand_is_attested_by_a_coordinator_who_names_the_sheet(ground, cast, volunteer):
    told = {"written_by": volunteer.member.id, "written_at": "2027-05-01T10:05:00-05:00"}
    id = ground.session(applicator=volunteer.member.id, started_at=NINE, ended_at=TEN, **told)

    with pytest.raises(NotTheApplicator):
        cast.other_volunteer.does("session", "attest", id=id, document="Day sheet of 1 May 2027")
    with pytest.raises(DocumentMissing):
        cast.coordinator.does("session", "attest", id=id)
    cast.coordinator.does("session", "attest", id=id, document="Day sheet of 1 May 2027")

    assert (read(id).state, read(id).attested_by_id) == ("attested", cast.coordinator.member.id)


def test_the_named_supervisor_countersigns_with_a_credential_of_that_date(ground, cast, coordinator, volunteer):
    licence(coordinator, volunteer, "2027-05-01")
    id = ground.session(supervisor=volunteer.member.id, started_at=NINE, ended_at=TEN)
    coordinator.does("session", "attest", id=id)

    licence(coordinator, cast.other_volunteer, "2027-12-31")
    with pytest.raises(NotTheSupervisor):
        cast.other_volunteer.does("session", "countersign", id=id)
    volunteer.does("session", "countersign", id=id)

    assert (read(id).state, read(id).countersigned_by_id) == ("countersigned", volunteer.member.id)


def test_a_licensed_coordinator_countersigns_where_no_supervisor_was_named(session, coordinator, volunteer):
    licence(coordinator, coordinator, "2027-12-31")
    volunteer.does("session", "attest", id=session)

    coordinator.does("session", "countersign", id=session)

    assert read(session).state == "countersigned"


def test_only_a_coordinator_locks_and_unlocks_and_says_why(session, coordinator, volunteer):
    volunteer.does("session", "attest", id=session)
    for op in ("lock", "unlock"):
        with pytest.raises(NotPermitted):
            volunteer.does("session", op, id=session, reason="mine")

    coordinator.does("session", "lock", id=session)
    with pytest.raises(ReasonMissing):
        coordinator.does("session", "unlock", id=session)
    assert read(session).state == "locked"
    coordinator.does("session", "unlock", id=session, reason="two stems were forgotten")

    assert read(session).state == "attested"


def test_a_locked_record_changes_for_nobody_by_any_door_and_a_push_is_held(ground, session, coordinator, volunteer):
    volunteer.does("session", "attest", id=session)
    coordinator.does("session", "lock", id=session)

    with pytest.raises(Locked):
        coordinator.does("session", "amend", id=session, reason="left out", note="more")
    [result] = volunteer.pushes(sent("session", "attest", {}, id=session)).results

    assert (result["outcome"], result["code"]) == ("held", "locked")


CORRECTIONS = [
    ("session", "amend", {"equipment": "sponge"}),
    ("application", "amend", {"stems": 41}),
    ("application", "void", {}),
    ("application", "create", {}),
]


@pytest.mark.parametrize(("kind", "op", "values"), CORRECTIONS)
def test_a_correction_after_attesting_takes_the_signatures_back(ground, session, cast, volunteer, kind, op, values):
    lead = cast.coordinator
    licence(lead, lead, "2027-12-31")
    volunteer.does("session", "attest", id=session)
    lead.does("session", "countersign", id=session)
    target = session if kind == "session" else read(session).applications.get().id

    if op == "create":
        ground.line(session, ground.batch(), "2")
    else:
        lead.does(kind, op, id=target, reason="misread", **values)

    found = read(session)
    assert (found.state, found.attested_by_id, found.countersigned_by_id) == ("draft", None, None)


@pytest.mark.parametrize(
    ("values", "state"),
    [
        ({"mixed_where": "trailhead"}, "draft"),
        ({"mixed_at": "2027-04-30T18:00:00-05:00"}, "draft"),
        ({"mixed_at": "2027-05-01T08:00:00-05:00"}, "attested"),
        ({"note": "stirred twice"}, "attested"),
    ],
)
def test_a_correction_of_what_a_record_tells_of_its_batch_takes_the_signatures_back(
    session, coordinator, volunteer, values, state
):
    volunteer.does("session", "attest", id=session)
    batch = Application.objects.get(session=session).batch_id

    coordinator.does("batch", "amend", id=batch, reason="left out", **values)

    assert read(session).state == state


def test_a_correction_that_changes_nothing_leaves_the_signature(session, coordinator, volunteer):
    volunteer.does("session", "attest", id=session)
    line = read(session).applications.get().id

    coordinator.does("session", "amend", id=session, reason="the same", note="")
    coordinator.does("application", "amend", id=line, reason="the same", stems=40)

    assert read(session).state == "attested"


def test_history_shows_both_values_who_and_when(session, cast, coordinator, volunteer):
    """An amendment shows both values, who, when; the original is kept."""
    volunteer.does("session", "attest", id=session)
    line = read(session).applications.get().id
    coordinator.does("application", "amend", id=line, reason="one was counted twice", stems=39)

    url = f"/api/v1/groups/{cast.group.id}"
    *_, change = coordinator.client().get(f"{url}/applications/{line}/history").json()["results"]
    *_, taken_back = coordinator.client().get(f"{url}/sessions/{session}/history").json()["results"]

    assert {"field": "stems", "old": 40, "new": 39} in change["changes"]
    assert (change["who"]["name"], change["reason"]) == ("Maren Oduya", "one was counted twice")
    assert change["when"]
    assert {"field": "attested_by", "old": str(volunteer.member.id), "new": None} in taken_back["changes"]
    assert Revision.objects.filter(record_id=line).count() == 2


def test_patching_a_locked_record_is_409(session, cast, coordinator, volunteer):
    volunteer.does("session", "attest", id=session)
    coordinator.does("session", "lock", id=session)
    url, rev = f"/api/v1/groups/{cast.group.id}/sessions/{session}", read(session).rev

    answer = coordinator.client().patch(
        url, {"note": "more", "reason": "left out"}, content_type="application/json", headers={"If-Match": f'"{rev}"'}
    )

    assert (answer.status_code, answer.json()["code"]) == (409, "locked")
    assert coordinator.client().get(url).json()["state"] == "locked"


def test_supervised_work_is_locked_without_a_countersignature_only_with_a_reason(ground, coordinator):
    told = {"name": "The county's rule", "source": "An invented ordinance", "countersign": True}
    coordinator.does("rule_profile", "create", clock={"kind": "same_day"}, required=["location"], **told)
    id = ground.session(started_at=NINE, ended_at=TEN)  # nobody's credential: the work was supervised or should be
    coordinator.does("session", "attest", id=id)

    coordinator.does("session", "lock", id=id, reason="no licence holder was there")

    assert read(id).state == "locked"
