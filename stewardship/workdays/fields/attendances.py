"""What may be sent about attendance."""

from typing import Annotated, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.journal.fields import Amend, Moment, New, Ref, Target, Text
from stewardship.workdays.models import WorkDay

AgeClasses = Literal["adult", "youth", "staff"]
Said = Annotated[str, Meta(min_length=1, max_length=4000, pattern=r"\S")]
HowKnown = Literal["measured", "estimated"]


class NewAttendance(New, frozen=True):
    """A check-in, with the check-out where it is known already; without ``member`` it is one's own.

    ``admitted``: why the leader lets somebody work whose waiver is not signed.
    """

    work_day: Annotated[UUID, Ref(WorkDay, lock=True)]
    in_at: Moment
    member: Annotated[UUID, Ref(Member)] | None = None
    age_class: AgeClasses = "adult"
    out_at: Moment | None = None
    how_known: HowKnown | None = None
    admitted: Text = ""

    def __post_init__(self) -> None:
        """Refuse a check-out that does not say how its time is known."""
        if (self.out_at is None) != (self.how_known is None):
            raise ValueError("Say in how_known how out_at is known: measured or estimated.")


class CheckOut(Target, kw_only=True, frozen=True):
    """The end of a member's time on a work day."""

    out_at: Moment
    how_known: HowKnown


class Settle(Target, kw_only=True, frozen=True):
    """An estimate of when somebody left who cannot be asked, and what it rests on."""

    out_at: Moment
    words: Said


class Admit(Target, kw_only=True, frozen=True):
    """Why the leader lets somebody work whose waiver is not signed."""

    words: Said


class AmendAttendance(Amend, frozen=True):
    """A correction of a member's time on a work day."""

    age_class: AgeClasses | UnsetType = UNSET
    in_at: Moment | UnsetType = UNSET
    out_at: Moment | None | UnsetType = UNSET
    how_known: HowKnown | None | UnsetType = UNSET

    def __post_init__(self) -> None:
        """Refuse a check-out that does not say how its time is known."""
        if self.out_at is None and self.how_known not in (UNSET, None):
            raise ValueError("Without out_at there is nothing to say in how_known.")
        if self.out_at not in (UNSET, None) and not self.how_known:
            raise ValueError("Say in how_known how out_at is known: measured or estimated.")
