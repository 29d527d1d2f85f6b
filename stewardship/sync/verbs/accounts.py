"""Verbs of groups, members and invitations."""

from stewardship.accounts import fields
from stewardship.accounts.fields import invitations as of_invitations
from stewardship.accounts.models import (
    Consent,
    ConsentText,
    EmergencyContact,
    Group,
    Invitation,
    Member,
    PersonalDetails,
)
from stewardship.accounts.services import consents, details, groups, invitations
from stewardship.journal.fields import Target
from stewardship.sync import personal
from stewardship.sync.verbs.verb import Verb, Verbs, enter_and_amend
from stewardship.treatments.services import erasing

OWN = "keep_own_details"
DETAILS = (PersonalDetails, "member_id")

VERBS: Verbs = {
    ("group", "amend"): Verb(Group, fields.AmendGroup, groups.amend_group, "manage_group"),
    **enter_and_amend(
        Member,
        "manage_members",
        (fields.NewMember, groups.add_member),
        (fields.AmendMember, groups.amend_member),
    ),
    ("member", "end"): Verb(Member, fields.EndMember, groups.end_member, "manage_members"),
    ("member", "reinstate"): Verb(Member, Target, groups.reinstate_member, "manage_members"),
    **enter_and_amend(
        PersonalDetails,
        OWN,
        (fields.NewPersonalDetails, details.add_details),
        (fields.AmendPersonalDetails, details.amend_details),
    ),
    **enter_and_amend(
        EmergencyContact,
        OWN,
        (fields.NewEmergencyContact, details.add_contact),
        (fields.AmendEmergencyContact, details.amend_contact),
    ),
    ("emergency_contact", "remove"): Verb(EmergencyContact, fields.RemoveEmergencyContact, details.remove_contact, OWN),
    **enter_and_amend(
        ConsentText,
        "manage_members",
        (fields.NewConsentText, consents.add_text),
        (fields.AmendConsentText, consents.amend_text),
    ),
    ("consent_text", "retire"): Verb(ConsentText, Target, consents.retire_text, "manage_members"),
    ("consent_text", "reinstate"): Verb(ConsentText, Target, consents.reinstate_text, "manage_members"),
    ("consent", "create"): Verb(Consent, fields.NewConsent, consents.give_consent, OWN, lists={"member": DETAILS}),
    ("consent", "withdraw"): Verb(Consent, Target, consents.withdraw_consent, OWN),
    ("consent", "void"): Verb(Consent, Target, consents.void_consent, "manage_members", reason=True),
    ("member", "leave"): Verb(Member, fields.LeaveGroup, groups.leave, "read"),
    ("member", "suspend"): Verb(Member, fields.SuspendMember, groups.suspend, "manage_members", reason=True),
    ("member", "restore"): Verb(Member, fields.RestoreMember, groups.restore, "manage_members"),
    ("member", "erase"): Verb(
        Member,
        fields.EraseMember,
        personal.erase_member,
        "manage_members",
        reason=True,
        gathers={"id": (*personal.RECORDS, personal.HELD)},
        surveys=(erasing.names_kept,),
    ),
    ("invitation", "create"): Verb(Invitation, of_invitations.NewInvitation, invitations.invite, "manage_members"),
    ("invitation", "withdraw"): Verb(
        Invitation, of_invitations.WithdrawInvitation, invitations.withdraw, "manage_members"
    ),
    ("invitation", "resend"): Verb(Invitation, of_invitations.ResendInvitation, invitations.resend, "manage_members"),
}
