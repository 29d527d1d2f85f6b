"""How the refusals of settling come about."""

from stewardship.sync.settling import AlreadySettled, ChoiceMissing, NothingDisputed
from tests.cast import sent
from tests.doors import Case

WHY = {"reason": "he telephoned"}


def held(cast):
    (result,) = cast.volunteer.pushes(sent("property", "create", {"name": "Fen"})).results
    return result["to_settle"]


def disputed(cast):
    made = cast.coordinator.does("property", "create", name="Fen").record
    cast.coordinator.does("property", "amend", id=made.id, name="Fen Edge")
    wish = sent("property", "amend", {"name": "Fen End"}, id=made.id, base_rev=1)
    return cast.coordinator.pushes(wish).results[0]["to_settle"]


def what_was_voided_is_released(cast):
    item = held(cast)
    cast.coordinator.does("to_settle", "void", id=item, **WHY)
    return cast.coordinator, sent("to_settle", "release", id=item, **WHY)


def what_nobody_disputes_is_decided_by_field(cast):
    return cast.coordinator, sent("to_settle", "settle", {"fields": {"name": "ours"}}, id=held(cast), **WHY)


def a_field_that_is_not_disputed_is_decided(cast):
    return cast.coordinator, sent("to_settle", "settle", {"fields": {"note": "ours"}}, id=disputed(cast), **WHY)


CASES = [
    Case(AlreadySettled, what_was_voided_is_released),
    Case(NothingDisputed, what_nobody_disputes_is_decided_by_field),
    Case(ChoiceMissing, a_field_that_is_not_disputed_is_decided),
]
