"""Who belongs to the group, as a coordinator sees it."""

from dataclasses import dataclass
from datetime import datetime

from stewardship.accounts.letters import AddressRefused, letters_tried
from stewardship.accounts.models import Invitation, InvitationState, Member
from stewardship.accounts.services.invitations import letter_key
from stewardship.jobs.models import Job, State
from stewardship.web.access import Here


@dataclass(frozen=True)
class Listed:
    """The members of a group: who belongs to it, who is suspended, who left; and the invitations that are out."""

    present: list[Member]
    suspended: list[Member]
    former: list[Member]
    invited: list[tuple[Invitation, str]]
    """Each with its standing: sent, expired, or ``unsent`` or ``refused`` where its letter did not go."""


def people_listed(here: Here) -> Listed:
    """Return the members by name, with the persons behind them, and the invitations, the latest first."""
    members = Member.objects.select_related("person").filter(group_id=here.group.id)
    found = list(members.order_by("display_name", "id"))
    out = Invitation.objects.filter(group_id=here.group.id, state=InvitationState.SENT).order_by("-sent_at", "id")
    invited = list(out)
    tried = letters_tried(invited)
    return Listed(
        present=[m for m in found if m.is_present],
        suspended=[m for m in found if m.suspended_at and not m.ended_at],
        former=[m for m in found if m.ended_at],
        invited=[(each, _standing(each, tried.get(letter_key(each), []), here.at)) for each in invited],
    )


def _standing(invitation: Invitation, jobs: list[Job], at: datetime) -> str:
    standing = invitation.standing(at)
    if standing == "expired" or not jobs or jobs[-1].state != State.FAILED:
        return standing
    return "refused" if jobs[-1].error_code == AddressRefused.code else "unsent"
