"""Verbs of groups and members."""

from stewardship.accounts import fields
from stewardship.accounts.models import Group, Member
from stewardship.accounts.services import groups
from stewardship.journal.fields import Target
from stewardship.sync.verbs.verb import Verb, Verbs, enter_and_amend

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
}
