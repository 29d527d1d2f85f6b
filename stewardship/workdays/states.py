"""The states of a work day and what leads from one to the next: one table."""

from typing import NamedTuple

from django.db import models

from stewardship.errors import RuleViolation


class State(models.TextChoices):
    """How far a work day has come."""

    DRAFT = "draft", "a draft"
    OPEN = "open", "open"
    CONFIRMED = "confirmed", "confirmed"
    UNDER_WAY = "under_way", "under way"
    STOPPED = "stopped", "stopped early"
    DONE = "done", "done"
    CLOSED = "closed", "closed"
    CANCELLED = "cancelled", "cancelled"


class Move(NamedTuple):
    """One way on: from which states, to which, and what is done, in words."""

    sources: frozenset[str]
    target: str
    words: str


MOVES = {
    "open": Move(frozenset({"draft"}), "open", "opened"),
    "confirm": Move(frozenset({"open"}), "confirmed", "confirmed"),
    "begin": Move(frozenset({"confirmed"}), "under_way", "begun"),
    "stop": Move(frozenset({"open", "confirmed", "under_way"}), "stopped", "stopped"),
    "finish": Move(frozenset({"open", "confirmed", "under_way"}), "done", "finished"),
    "close": Move(frozenset({"stopped", "done"}), "closed", "closed"),
    "postpone": Move(frozenset({"draft", "open", "confirmed"}), "open", "postponed"),
    "cancel": Move(frozenset({"draft", "open", "confirmed"}), "cancelled", "cancelled"),
}
"""Act -> move. A day that took place without being confirmed is stopped or finished from where it stands; a draft that
is postponed stays one."""

ENDED = frozenset({"closed", "cancelled"})
"""Nothing about the day is planned, recorded or corrected any more."""

PEOPLE_WANTED = frozenset({"open", "confirmed", "under_way"})
"""People sign up and withdraw."""


class StateWrong(RuleViolation):
    """The work day's state does not admit what was wanted."""

    code = "state_wrong"
    message = "This work day is {state}, so {wanted}."
    where = "state"


class DayWasAttended(RuleViolation):
    """A work day that people came to is not cancelled or put off: their hours count."""

    code = "day_was_attended"
    message = "People are checked in on this work day. Finish or stop it instead, so that their hours count."
    where = "state"


def moved(state: str, act: str) -> str:
    """Return the state that ``act`` leads to. Raises StateWrong."""
    if state not in MOVES[act].sources:
        raise StateWrong(state=State(state).label, wanted=f"it cannot be {MOVES[act].words}")
    return MOVES[act].target


def check_not_ended(state: str) -> None:
    """Refuse a plan or a record on a day that is closed or cancelled. Raises StateWrong."""
    if state in ENDED:
        raise StateWrong(state=State(state).label, wanted="nothing about it can be added or changed")


def check_wants_people(state: str) -> None:
    """Refuse a sign-up or a withdrawal where nobody is looked for. Raises StateWrong."""
    if state not in PEOPLE_WANTED:
        raise StateWrong(state=State(state).label, wanted="nobody can sign up for it or withdraw")
