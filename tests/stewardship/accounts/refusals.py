"""How the refusals about groups and members come about."""

from stewardship.accounts.services.consents import (
    ConsentVoided,
    GivenInFuture,
    GivenTooEarly,
    GuardianMissing,
    GuardianSignsOnSheet,
    TextRetired,
)
from stewardship.accounts.services.details import AgeToldTwice, ContactRemoved, DetailsKnown
from stewardship.accounts.services.groups import AlreadyMember, LastCoordinator, NoCoordinator
from stewardship.errors import NotPermitted
from tests.cast import sent
from tests.doors import Case, last_act
from tests.signing import agrees, waiver


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


def details_are_entered_twice(cast):
    cast.volunteer.does("personal_details", "create", phone="555 0100")
    return cast.volunteer, sent("personal_details", "create", {"phone": "555 0101"})


def somebody_enters_anothers_details(cast):
    told = {"phone": "555 0100", "member": str(cast.other_volunteer.member.id)}
    return cast.volunteer, sent("personal_details", "create", told)


def an_age_is_told_in_two_ways(cast):
    return cast.volunteer, sent("personal_details", "create", {"born_on": "2009-07-02", "under_18": True})


def a_contact_that_was_taken_off_is_changed(cast):
    contact = cast.volunteer.does("emergency_contact", "create", name="Odile Fenn", phone="555 0102").record.id
    cast.volunteer.does("emergency_contact", "remove", id=contact)
    return cast.volunteer, sent("emergency_contact", "amend", {"phone": "555 0103"}, id=contact)


def a_text_out_of_use_is_agreed_to(cast):
    text = waiver(cast.coordinator)
    cast.coordinator.does("consent_text", "retire", id=text)
    return last_act(lambda: agrees(cast.volunteer, text))


def a_consent_is_given_before_the_text_stood(cast):
    text = waiver(cast.coordinator)
    return last_act(lambda: agrees(cast.volunteer, text, given_on="2026-12-31"))


def a_consent_is_given_tomorrow(cast):
    text = waiver(cast.coordinator)
    return last_act(lambda: agrees(cast.volunteer, text, given_on="2027-05-02"))


def nobody_signs_for_somebody_under_18(cast):
    text = waiver(cast.coordinator)
    cast.volunteer.does("personal_details", "create", under_18=True)
    return last_act(lambda: agrees(cast.volunteer, text))


def a_guardian_signs_in_as_the_member(cast):
    text = waiver(cast.coordinator, what="guardian_consent", only_under_18=True)
    return last_act(lambda: agrees(cast.volunteer, text, given_by="Odile Fenn", relation="mother"))


def a_volunteer_enters_a_sheet(cast):
    text = waiver(cast.coordinator)
    return last_act(lambda: agrees(cast.volunteer, text, how="signed_sheet", sheet="binder 2"))


def a_coordinator_agrees_signed_in_for_somebody(cast):
    text = waiver(cast.coordinator)
    return last_act(lambda: agrees(cast.coordinator, text, member=cast.volunteer.member.id))


def a_mistaken_consent_is_withdrawn(cast):
    consent = agrees(cast.volunteer, waiver(cast.coordinator))
    cast.coordinator.does("consent", "void", id=consent, reason="meant for somebody else")
    return cast.volunteer, sent("consent", "withdraw", id=consent)


CASES = [
    Case(DetailsKnown, details_are_entered_twice),
    Case(NotPermitted, somebody_enters_anothers_details),
    Case(AgeToldTwice, an_age_is_told_in_two_ways),
    Case(ContactRemoved, a_contact_that_was_taken_off_is_changed),
    Case(TextRetired, a_text_out_of_use_is_agreed_to),
    Case(GivenTooEarly, a_consent_is_given_before_the_text_stood),
    Case(GivenInFuture, a_consent_is_given_tomorrow),
    Case(GuardianMissing, nobody_signs_for_somebody_under_18),
    Case(GuardianSignsOnSheet, a_guardian_signs_in_as_the_member),
    Case(NotPermitted, a_volunteer_enters_a_sheet),
    Case(NotPermitted, a_coordinator_agrees_signed_in_for_somebody),
    Case(ConsentVoided, a_mistaken_consent_is_withdrawn),
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
