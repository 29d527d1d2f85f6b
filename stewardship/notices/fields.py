"""What may be sent about how a member wishes to be told."""

from typing import Annotated, Literal

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.fields import LeadDays
from stewardship.journal.fields import Amend, New

KindName = Literal[
    "day_cancelled", "day_changed", "moved_up", "day_ahead", "overdue", "escalation", "reminder", "totals_missing",
    "invitation",
]  # fmt: skip
DigestName = Literal["daily", "at_once"]
Hour = Annotated[int, Meta(ge=0, le=23)]


class NewNotificationSettings(New, frozen=True):
    """How one wishes to be told oneself; what is left out stays as it is for everybody."""

    page_only: list[KindName] = []
    digest: DigestName = "daily"
    digest_hour: Hour = 7
    lead_days: LeadDays | None = None


class AmendNotificationSettings(Amend, frozen=True):
    """A change of how one wishes to be told."""

    page_only: list[KindName] | UnsetType = UNSET
    digest: DigestName | UnsetType = UNSET
    digest_hour: Hour | UnsetType = UNSET
    lead_days: LeadDays | None | UnsetType = UNSET
