"""How the refusals about groups and members come about."""

from stewardship.accounts.services.groups import AlreadyMember, LastCoordinator, NoCoordinator
from stewardship.errors import NotPermitted
from tests.cast import sent
from tests.doors import Case


def the_only_coordinator_leaves(cast):
    return cast.coordinator, sent("member", "end", id=cast.coordinator.member.id)


def the_only_coordinator_becomes_a_volunteer(cast):
    return cast.coordinator, sent("member", "amend", {"role": "volunteer"}, id=cast.coordinator.member.id)


def the_only_other_coordinator_left_before(cast):
    cast.coordinator.does("member", "amend", id=cast.former.member.id, role="coordinator")
    return cast.coordinator, sent("member", "end", id=cast.coordinator.member.id)


def somebody_joins_twice(cast):
    return cast.coordinator, joins("Tobias", "tobias@tamarack.example")


def somebody_joins_twice_in_capitals(cast):
    return cast.coordinator, joins("Tobias", "TOBIAS@Tamarack.Example")


def who_left_joins_as_somebody_new(cast):
    return cast.coordinator, joins("Josie", "josie@tamarack.example")


def a_volunteer_takes_somebody_in(cast):
    return cast.volunteer, joins("Nell", "nell@tamarack.example")


def a_volunteer_makes_a_coordinator_of_herself(cast):
    return cast.volunteer, sent("member", "amend", {"role": "coordinator"}, id=cast.volunteer.member.id)


def a_reviewer_renames_the_group(cast):
    return cast.reviewer, sent("group", "amend", {"name": "Ours"}, id=cast.group.id)


def a_volunteer_is_to_be_the_second_coordinator(cast):
    return cast.coordinator, second_coordinator(cast, cast.volunteer)


def a_coordinator_who_left_is_to_be_the_second(cast):
    cast.coordinator.does("member", "reinstate", id=cast.former.member.id)
    cast.coordinator.does("member", "amend", id=cast.former.member.id, role="coordinator")
    cast.coordinator.does("member", "end", id=cast.former.member.id)
    return cast.coordinator, second_coordinator(cast, cast.former)


def second_coordinator(cast, someone):
    return sent("group", "amend", {"second_coordinator": str(someone.member.id)}, id=cast.group.id)


def joins(name, email):
    return sent("member", "create", {"display_name": name, "email": email, "role": "volunteer"})


CASES = [
    Case(LastCoordinator, the_only_coordinator_leaves),
    Case(LastCoordinator, the_only_coordinator_becomes_a_volunteer),
    Case(LastCoordinator, the_only_other_coordinator_left_before),
    Case(AlreadyMember, somebody_joins_twice),
    Case(AlreadyMember, somebody_joins_twice_in_capitals),
    Case(AlreadyMember, who_left_joins_as_somebody_new),
    Case(NoCoordinator, a_volunteer_is_to_be_the_second_coordinator),
    Case(NoCoordinator, a_coordinator_who_left_is_to_be_the_second),
    Case(NotPermitted, a_volunteer_takes_somebody_in),
    Case(NotPermitted, a_volunteer_makes_a_coordinator_of_herself),
    Case(NotPermitted, a_reviewer_renames_the_group),
]
