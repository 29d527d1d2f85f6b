"""How the refusals about closing a work day come about."""

from stewardship.closeout.services import DayNotClosable
from stewardship.workdays.reasons import DayNotReady
from tests.doors import Case, last_act
from tests.planning import Plan


def a_day_is_closed_while_somebody_is_still_there(cast):
    plan = Plan(cast.coordinator)
    plan.does("open")
    plan.comes(cast.volunteer)
    plan.does("finish")
    plan.answers()
    return last_act(lambda: plan.does("close"))


def a_herbicide_day_is_confirmed_without_an_applicator(cast):
    plan = Plan(cast.coordinator)
    plan.does("open")
    return last_act(lambda: plan.does("confirm"))


CASES = [
    Case(DayNotClosable, a_day_is_closed_while_somebody_is_still_there),
    Case(DayNotReady, a_herbicide_day_is_confirmed_without_an_applicator),
]
