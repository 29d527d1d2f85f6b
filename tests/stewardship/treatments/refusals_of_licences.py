"""How the refusals about work without a licence come about."""

from stewardship.treatments.services import answers, crews
from tests.doors import Case, last_act
from tests.ground import lay_out
from tests.planning import licence
from tests.stewardship.treatments.licensed import ANSWER, TEN, crew, restrict
from tests.stewardship.treatments.refusals_of_plans import plan


def a_session_without_marks_is_answered(cast):
    ground = lay_out(cast.coordinator)
    licence(cast.coordinator, cast.coordinator, "2027-12-31")
    session = ground.session()
    return last_act(lambda: cast.coordinator.does("session", "answer", id=session, **ANSWER))


def a_batch_without_marks_is_answered(cast):
    ground = lay_out(cast.coordinator)
    licence(cast.coordinator, cast.coordinator, "2027-12-31")
    batch = ground.batch()
    return last_act(lambda: cast.coordinator.does("batch", "answer", id=batch, **ANSWER))


def a_record_of_restricted_use_is_locked_without_an_answer(cast):
    ground = restrict(lay_out(cast.coordinator))
    session = ground.session(ended_at=TEN)
    ground.line(session, ground.batch(), "5")
    cast.coordinator.does("session", "attest", id=session)
    return last_act(lambda: cast.coordinator.does("session", "lock", id=session, reason="as it is"))


def a_restricted_mix_is_planned_for_a_crew_without_a_licence_for_it(cast):
    ground = restrict(lay_out(cast.coordinator))
    day = crew(cast, ground, admits_restricted=False)
    return last_act(lambda: plan(ground, work_day=day, planned_on="2027-07-01"))


CASES = [
    Case(answers.NothingToAnswer, a_session_without_marks_is_answered),
    Case(answers.NothingToAnswer, a_batch_without_marks_is_answered),
    Case(answers.RestrictedUnanswered, a_record_of_restricted_use_is_locked_without_an_answer),
    Case(crews.CrewUnlicensed, a_restricted_mix_is_planned_for_a_crew_without_a_licence_for_it),
]
