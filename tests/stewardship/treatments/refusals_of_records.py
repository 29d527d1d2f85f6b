"""How the refusals about what a session says come about: people, place, answers, areas."""

from stewardship.treatments.services import lines, people, sessions
from tests.doors import Case, last_act
from tests.ground import lay_out


def a_session_is_nobodys(cast):
    ground = lay_out(cast.coordinator)
    return last_act(lambda: ground.session(applicator=None))


def somebody_supervises_himself(cast):
    ground = lay_out(cast.coordinator)
    return last_act(lambda: ground.session(supervisor=cast.coordinator.member.id))


def a_session_is_at_a_post_box(cast):
    ground = lay_out(cast.coordinator)
    return last_act(lambda: ground.session(place_text="P.O. Box 12, Fenton"))


def an_incident_is_told_that_there_was_not(cast):
    ground = lay_out(cast.coordinator)
    return last_act(lambda: ground.session(had_incident=False, incident="half a cup spilled"))


def more_is_infested_than_was_treated(cast):
    ground = lay_out(cast.coordinator)
    session, batch, acre = ground.session(), ground.batch(), {"unit": "acre"}
    areas = {"area": {"value": "1", **acre}, "infested_area": {"value": "1.1", **acre}}
    return last_act(lambda: ground.line(session, batch, "5", **areas))


CASES = [
    Case(people.ApplicatorOrContractor, a_session_is_nobodys),
    Case(people.PersonTwice, somebody_supervises_himself),
    Case(sessions.PostBoxIsNoPlace, a_session_is_at_a_post_box),
    Case(sessions.AnswerUnclear, an_incident_is_told_that_there_was_not),
    Case(lines.InfestedAboveTreated, more_is_infested_than_was_treated),
]
