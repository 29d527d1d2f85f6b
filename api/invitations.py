"""Invitations into the group: for coordinators."""

from api import filtering
from api.records import GroupRecords
from stewardship.accounts.models import Invitation, InvitationState


class InvitationFilters(filtering.Filters):
    """By what became of it, by address and by the member who gets a sign-in."""

    state = filtering.Choice(words=InvitationState.values)
    member = filtering.Id(field_name="member_id")
    expires_before = filtering.Moment(field_name="expires_at", lookup_expr="lt")


class Invitations(GroupRecords):
    """Letters that take somebody into the group; one that was sent opens until ``expires_at``."""

    at = "invitations"
    model = Invitation
    filterset_class = InvitationFilters
