"""What may be sent about briefings and who signed them."""

from typing import Annotated
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.journal.fields import Amend, Moment, New, Ref, Text
from stewardship.workdays.models import Briefing, Practice, WorkDay

Topics = Annotated[list[Annotated[UUID, Ref(Practice)]], Meta(max_length=100)]
Sheet = Annotated[str, Meta(max_length=200)]


class NewBriefing(New, frozen=True):
    """A briefing that was held; without ``led_by`` one led it oneself."""

    work_day: Annotated[UUID, Ref(WorkDay, lock=True)]
    held_at: Moment
    led_by: Annotated[UUID, Ref(Member)] | None = None
    topics: Topics = []
    words: Text = ""
    emergency_plan_read: bool = False
    label_at_hand: bool | None = None


class AmendBriefing(Amend, frozen=True):
    """A correction of what was said; who signed has signed what it said then."""

    held_at: Moment | UnsetType = UNSET
    topics: Topics | UnsetType = UNSET
    words: Text | UnsetType = UNSET
    emergency_plan_read: bool | UnsetType = UNSET
    label_at_hand: bool | None | UnsetType = UNSET


class NewBriefingSignature(New, frozen=True):
    """A line under a briefing; without ``member`` one's own. ``sheet``: which sheet another person signed."""

    briefing: Annotated[UUID, Ref(Briefing, lock=True)]
    signed_at: Moment
    member: Annotated[UUID, Ref(Member)] | None = None
    sheet: Sheet = ""
