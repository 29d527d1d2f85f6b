"""How the refusals about groups and members come about."""

from stewardship.accounts.services.consents import (
    ConsentVoided,
    GivenInFuture,
    GivenTooEarly,
    GuardianMissing,
    GuardianSignsOnSheet,
    TextRetired,
)
from stewardship.accounts.services.details import AgeIsKept, AgeToldTwice, ContactRemoved, DetailsKnown
from stewardship.accounts.services.erasing import StillAMember
from stewardship.accounts.services.groups import (
    AlreadyMember,
    CoordinatorNeedsAddress,
    LastCoordinator,
    MemberErased,
    NoCoordinator,
    NotYourOwn,
)
from stewardship.accounts.services.invitations import (
    AlreadyInvited,
    AnotherAddress,
    InvitationEnded,
    InvitedAsTheyAre,
    MemberLeft,
)
from stewardship.errors import NotPermitted, ReasonMissing
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


def the_only_coordinator_leaves_by_herself(cast):
    return cast.coordinator, sent("member", "leave", id=cast.coordinator.member.id)


def the_only_coordinator_is_suspended(cast):
    return cast.coordinator, sent("member", "suspend", id=cast.coordinator.member.id, reason="by mistake")


def the_other_coordinator_is_suspended(cast):
    cast.coordinator.does("member", "amend", id=cast.volunteer.member.id, role="coordinator")
    cast.coordinator.does("member", "suspend", id=cast.volunteer.member.id, reason="away")
    return cast.coordinator, sent("member", "leave", id=cast.coordinator.member.id)


def a_coordinator_leaves_for_somebody_else(cast):
    return cast.coordinator, sent("member", "leave", id=cast.volunteer.member.id)


def a_suspension_without_a_reason(cast):
    return cast.coordinator, sent("member", "suspend", id=cast.volunteer.member.id)


def a_volunteer_invites(cast):
    return cast.volunteer, invites()


def somebody_is_invited_twice(cast):
    cast.coordinator.does_sent(invites())
    return cast.coordinator, invites(email="NELL@tamarack.example")


def who_belongs_to_the_group_is_invited(cast):
    return cast.coordinator, invites(email="tobias@tamarack.example")


def who_left_is_invited(cast):
    return cast.coordinator, invites(email="josie@tamarack.example")


def a_member_is_invited_under_another_address(cast):
    return cast.coordinator, invites_member(cast.volunteer.member)


def a_member_is_invited_into_another_role(cast):
    pip = cast.coordinator.does("member", "create", display_name="Pip", role="volunteer").record
    return cast.coordinator, invites_member(pip, role="coordinator")


def a_suspended_member_is_invited(cast):
    pip = cast.coordinator.does("member", "create", display_name="Pip", role="volunteer").record
    cast.coordinator.does("member", "suspend", id=pip.id, reason="away")
    return cast.coordinator, invites_member(pip)


def a_member_is_invited_under_an_address_of_another_member(cast):
    pip = cast.coordinator.does("member", "create", display_name="Pip", role="volunteer").record
    return cast.coordinator, invites_member(pip, email="tobias@tamarack.example")


def what_was_withdrawn_is_sent_again(cast):
    made = cast.coordinator.does_sent(invites()).record
    cast.coordinator.does("invitation", "withdraw", id=made.id)
    return cast.coordinator, sent("invitation", "resend", id=made.id)


def invites(**values):
    told = {"email": "nell@tamarack.example", "role": "volunteer", "display_name": "Nell Osgood"}
    return sent("invitation", "create", told | values)


def invites_member(member, **values):
    told = {"member": str(member.id), "role": member.role, "display_name": member.display_name}
    return invites(**told | values)


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


def who_has_no_address_joins_as_a_coordinator(cast):
    return cast.coordinator, sent("member", "create", {"display_name": "Pip", "role": "coordinator"})


def who_has_no_address_becomes_a_coordinator(cast):
    pip = cast.coordinator.does("member", "create", display_name="Pip", role="volunteer").record
    return cast.coordinator, sent("member", "amend", {"role": "coordinator"}, id=pip.id)


def who_is_under_18_makes_himself_older(cast):
    told = cast.coordinator.does("personal_details", "create", member=cast.volunteer.member.id, under_18=True)
    return cast.volunteer, sent("personal_details", "amend", {"under_18": False}, id=told.record.id)


def who_belongs_to_the_group_is_erased(cast):
    return cast.coordinator, sent("member", "erase", {"reason": "asked for"}, id=cast.volunteer.member.id)


def the_only_coordinator_is_erased(cast):
    return cast.coordinator, sent("member", "erase", {"reason": "asked for"}, id=cast.coordinator.member.id)


def an_erasure_without_a_reason(cast):
    return cast.coordinator, sent("member", "erase", id=cast.former.member.id)


def a_volunteer_erases(cast):
    return cast.volunteer, sent("member", "erase", {"reason": "asked for"}, id=cast.former.member.id)


def who_was_erased_is_taken_back(cast):
    cast.coordinator.does("member", "erase", id=cast.former.member.id, reason="asked for")
    return cast.coordinator, sent("member", "reinstate", id=cast.former.member.id)


def who_was_erased_gets_a_name(cast):
    cast.coordinator.does("member", "erase", id=cast.former.member.id, reason="asked for")
    return cast.coordinator, sent("member", "amend", {"display_name": "Josie Tarnwell"}, id=cast.former.member.id)


CASES = [
    Case(StillAMember, who_belongs_to_the_group_is_erased),
    Case(StillAMember, the_only_coordinator_is_erased),
    Case(ReasonMissing, an_erasure_without_a_reason),
    Case(NotPermitted, a_volunteer_erases),
    Case(MemberErased, who_was_erased_is_taken_back),
    Case(MemberErased, who_was_erased_gets_a_name),
    Case(AgeIsKept, who_is_under_18_makes_himself_older),
    Case(CoordinatorNeedsAddress, who_has_no_address_joins_as_a_coordinator),
    Case(CoordinatorNeedsAddress, who_has_no_address_becomes_a_coordinator),
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
    Case(LastCoordinator, the_only_coordinator_leaves_by_herself),
    Case(LastCoordinator, the_only_coordinator_is_suspended),
    Case(LastCoordinator, the_other_coordinator_is_suspended),
    Case(NotYourOwn, a_coordinator_leaves_for_somebody_else),
    Case(ReasonMissing, a_suspension_without_a_reason),
    Case(NotPermitted, a_volunteer_invites),
    Case(AlreadyInvited, somebody_is_invited_twice),
    Case(AlreadyMember, who_belongs_to_the_group_is_invited),
    Case(AlreadyMember, who_left_is_invited),
    Case(AlreadyMember, a_member_is_invited_under_an_address_of_another_member),
    Case(AnotherAddress, a_member_is_invited_under_another_address),
    Case(InvitedAsTheyAre, a_member_is_invited_into_another_role),
    Case(MemberLeft, a_suspended_member_is_invited),
    Case(InvitationEnded, what_was_withdrawn_is_sent_again),
    Case(NotPermitted, a_volunteer_takes_somebody_in),
    Case(NotPermitted, a_volunteer_makes_a_coordinator_of_herself),
    Case(NotPermitted, a_reviewer_renames_the_group),
]
