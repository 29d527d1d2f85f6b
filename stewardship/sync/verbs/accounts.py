"""Verbs of groups and members."""

from stewardship.accounts import fields, services
from stewardship.accounts.models import Group, Member
from stewardship.journal.fields import Target
from stewardship.sync.verbs.verb import Verb, Verbs, enter_and_amend

VERBS: Verbs = {
    ("group", "amend"): Verb(Group, fields.AmendGroup, services.amend_group, "manage_group"),
    **enter_and_amend(
        Member,
        "manage_members",
        (fields.NewMember, services.add_member),
        (fields.AmendMember, services.amend_member),
    ),
    ("member", "end"): Verb(Member, fields.EndMember, services.end_member, "manage_members"),
    ("member", "reinstate"): Verb(Member, Target, services.reinstate_member, "manage_members"),
}
