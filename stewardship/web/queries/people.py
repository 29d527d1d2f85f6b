"""Who belongs to the group, as a coordinator sees it."""

from dataclasses import dataclass

from stewardship.accounts.models import Invitation, InvitationState, Member
from stewardship.web.access import Here


@dataclass(frozen=True)
class Listed:
    """The members of a group: who belongs to it, who is suspended, who left; and the invitations that are out."""

    present: list[Member]
    suspended: list[Member]
    former: list[Member]
    invited: list[tuple[Invitation, str]]
    """Each with its standing: sent, or expired."""


def people_listed(here: Here) -> Listed:
    """Return the members by name, with the persons behind them, and the invitations, the latest first."""
    members = Member.objects.select_related("person").filter(group_id=here.group.id)
    found = list(members.order_by("display_name", "id"))
    out = Invitation.objects.filter(group_id=here.group.id, state=InvitationState.SENT).order_by("-sent_at", "id")
    return Listed(
        present=[m for m in found if m.is_present],
        suspended=[m for m in found if m.suspended_at and not m.ended_at],
        former=[m for m in found if m.ended_at],
        invited=[(each, each.standing(here.at)) for each in out],
    )
