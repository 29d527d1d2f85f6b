"""What may be sent about an invitation."""

from typing import Annotated
from uuid import UUID

from stewardship.accounts.fields.groups import Email, RoleName
from stewardship.accounts.models import Member
from stewardship.journal.fields import Name, New, Ref, Target


class NewInvitation(New, frozen=True):
    """A letter that takes its reader into the group; ``member`` where somebody who works along gets a sign-in."""

    email: Email
    role: RoleName
    display_name: Name
    member: Annotated[UUID, Ref(Member)] | None = None


class WithdrawInvitation(Target, frozen=True):
    """The end of an invitation that nobody accepted."""


class ResendInvitation(Target, frozen=True):
    """A new letter with a new week; the link in the former one ends."""
