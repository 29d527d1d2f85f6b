"""How the refusals about signing, locking and correcting what was signed come about."""

from stewardship.treatments.services import signatures
from tests.doors import Case, last_act
from tests.ground import lay_out

NINE, TEN, NOON = "2027-05-01T09:00:00-05:00", "2027-05-01T10:00:00-05:00", "2027-05-01T12:00:00-05:00"


def signed(cast, *, locked=False, **values):
    """Return the ground and a session of the coordinator's that is attested, or locked."""
    ground, lead = lay_out(cast.coordinator), cast.coordinator
    session = ground.session(started_at=NINE, ended_at=TEN, **values)
    lead.does("session", "attest", id=session)
    if locked:
        lead.does("session", "lock", id=session, reason="no supervisor to be had")
    return ground, session


def _locked(op, **values):
    def scene(cast):
        _, session = signed(cast, locked=True)
        return last_act(lambda: cast.coordinator.does("session", op, id=session, **values))

    scene.__name__ = f"a_locked_session_meets_{op}"
    return scene


def _line_of_a_locked_one(op, **values):
    def scene(cast):
        ground, lead = lay_out(cast.coordinator), cast.coordinator
        session = ground.session(started_at=NINE, ended_at=TEN)
        line = ground.line(session, ground.batch(), "5").id
        if op == "reinstate":
            lead.does("application", "void", id=line, reason="by mistake")
        lead.does("session", "attest", id=session)
        lead.does("session", "lock", id=session, reason="no supervisor to be had")
        return last_act(lambda: lead.does("application", op, id=line, reason="misread", **values))

    scene.__name__ = f"a_line_of_a_locked_session_meets_{op}"
    return scene


def a_batch_of_a_locked_record_was_mixed_elsewhere(cast):
    ground, lead = lay_out(cast.coordinator), cast.coordinator
    session, batch = ground.session(started_at=NINE, ended_at=TEN), ground.batch()
    ground.line(session, batch, "5")
    lead.does("session", "attest", id=session)
    lead.does("session", "lock", id=session, reason="no supervisor to be had")
    return last_act(lambda: lead.does("batch", "amend", id=batch, mixed_where="trailhead", reason="left out"))


def a_locked_session_gets_another_line(cast):
    ground, session = signed(cast, locked=True)
    batch = ground.batch()
    return last_act(lambda: ground.line(session, batch, "5"))


def a_session_that_goes_on_is_attested(cast):
    session = lay_out(cast.coordinator).session()
    return last_act(lambda: cast.coordinator.does("session", "attest", id=session))


def a_session_that_ends_later_is_attested(cast):
    """End it two hours after ten, which it is by the tests' clock."""
    session = lay_out(cast.coordinator).session(started_at=NINE, ended_at=NOON)
    return last_act(lambda: cast.coordinator.does("session", "attest", id=session))


def a_coordinator_attests_for_somebody(cast):
    session = lay_out(cast.coordinator).session(cast.volunteer, started_at=NINE, ended_at=TEN)
    return last_act(lambda: cast.coordinator.does("session", "attest", id=session, document="said so"))


def a_contractors_record_is_attested_from_nothing(cast):
    ground = lay_out(cast.coordinator)
    party = cast.coordinator.does("contractor", "create", name="Bramble & Burr").record.id
    session = ground.session(applicator=None, contractor=party, started_at=NINE, ended_at=TEN)
    return last_act(lambda: cast.coordinator.does("session", "attest", id=session, document="  "))


def a_draft_is_locked(cast):
    session = lay_out(cast.coordinator).session(started_at=NINE, ended_at=TEN)
    return last_act(lambda: cast.coordinator.does("session", "lock", id=session))


def an_applicator_countersigns(cast):
    _, session = signed(cast)
    return last_act(lambda: cast.coordinator.does("session", "countersign", id=session))


def a_supervisor_countersigns_without_a_credential(cast):
    _, session = signed(cast, supervisor=cast.volunteer.member.id)
    return last_act(lambda: cast.volunteer.does("session", "countersign", id=session))


def supervised_work_is_locked_without_the_supervisor(cast):
    told = {"name": "The county's rule", "source": "An invented ordinance", "countersign": True}
    cast.coordinator.does("rule_profile", "create", clock={"kind": "same_day"}, required=["location"], **told)
    _, session = signed(cast, supervisor=cast.volunteer.member.id)
    return last_act(lambda: cast.coordinator.does("session", "lock", id=session))


def what_is_not_locked_is_unlocked(cast):
    _, session = signed(cast)
    return last_act(lambda: cast.coordinator.does("session", "unlock", id=session, reason="misread"))


CASES = [
    Case(signatures.Locked, _locked("amend", note="more", reason="left out")),
    Case(signatures.Locked, _locked("void", reason="typed twice")),
    Case(signatures.Locked, _locked("attest")),
    Case(signatures.Locked, _locked("countersign")),
    Case(signatures.Locked, _locked("end", ended_at=TEN)),
    Case(signatures.Locked, _line_of_a_locked_one("amend", stems=3)),
    Case(signatures.Locked, _line_of_a_locked_one("void")),
    Case(signatures.Locked, _line_of_a_locked_one("reinstate")),
    Case(signatures.Locked, a_locked_session_gets_another_line),
    Case(signatures.Locked, a_batch_of_a_locked_record_was_mixed_elsewhere),
    Case(signatures.SessionNotEnded, a_session_that_goes_on_is_attested),
    Case(signatures.SessionEndsLater, a_session_that_ends_later_is_attested),
    Case(signatures.NotTheApplicator, a_coordinator_attests_for_somebody),
    Case(signatures.DocumentMissing, a_contractors_record_is_attested_from_nothing),
    Case(signatures.NotAttested, a_draft_is_locked),
    Case(signatures.NotTheSupervisor, an_applicator_countersigns),
    Case(signatures.CountersignerUnlicensed, a_supervisor_countersigns_without_a_credential),
    Case(signatures.NotCountersigned, supervised_work_is_locked_without_the_supervisor),
    Case(signatures.NotLocked, what_is_not_locked_is_unlocked),
]
