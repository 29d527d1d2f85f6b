"""What may be sent about work days, duties, sign-ups and attendance."""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.journal.fields import Amend, Moment, Name, New, Ref, Target, Text
from stewardship.places.models import Property, Unit
from stewardship.workdays.models import Duty, WorkDay

DutyNames = Literal[
    "leader", "team_leader", "applicator", "sawyer", "swamper", "cutter", "puller", "hauler", "burn_boss", "other"
]
AgeClasses = Literal["adult", "youth", "staff"]
HowKnown = Literal["measured", "estimated"]
Units = Annotated[list[Annotated[UUID, Ref(Unit)]], Meta(max_length=200)]
OtherName = Annotated[str, Meta(max_length=100)]
Wanted = Annotated[int, Meta(ge=0, le=1000)]
Age = Annotated[int, Meta(ge=1, le=120)]


class NewWorkDay(New, frozen=True):
    """A work day on a property: a draft, until it is opened. ``on_date`` is the property's local date."""

    property: Annotated[UUID, Ref(Property)]
    title: Name
    on_date: date
    starts_at: Moment | None = None
    ends_at: Moment | None = None
    meeting_point: Text = ""
    note: Text = ""
    units: Units = []
    herbicide_planned: bool = False


class AmendWorkDay(Amend, frozen=True):
    """A change of a work day; it stays with its property."""

    title: Name | UnsetType = UNSET
    on_date: date | UnsetType = UNSET
    starts_at: Moment | None | UnsetType = UNSET
    ends_at: Moment | None | UnsetType = UNSET
    meeting_point: Text | UnsetType = UNSET
    note: Text | UnsetType = UNSET
    units: Units | UnsetType = UNSET
    herbicide_planned: bool | UnsetType = UNSET


class StopWorkDay(Target, kw_only=True, frozen=True):
    """The early end of a work day: when, and why."""

    stopped_at: Moment


class NewDuty(New, frozen=True):
    """A job on a work day; ``other_name`` says what it is where the name is other."""

    work_day: Annotated[UUID, Ref(WorkDay, lock=True)]
    name: DutyNames
    wanted: Annotated[int, Meta(ge=1, le=1000)]
    other_name: OtherName = ""
    minimum_age: Age | None = None

    def __post_init__(self) -> None:
        """Refuse an other duty without words, and words for one that has a name."""
        if (self.name == "other") != bool(self.other_name.strip()):
            raise ValueError("Say in other_name what the duty is if its name is other, and only then.")


class AmendDuty(Amend, frozen=True):
    """A change of how many people are wanted, or of their minimum age; 0 wanted: the duty is dropped."""

    wanted: Wanted | UnsetType = UNSET
    minimum_age: Age | None | UnsetType = UNSET


class NewSignUp(New, frozen=True):
    """A member's word to do a duty; without ``member`` it is one's own."""

    work_day: Annotated[UUID, Ref(WorkDay, lock=True)]
    duty: Annotated[UUID, Ref(Duty, lock=True)]
    member: Annotated[UUID, Ref(Member)] | None = None


class NewAttendance(New, frozen=True):
    """A check-in, with the check-out where it is known already; without ``member`` it is one's own."""

    work_day: Annotated[UUID, Ref(WorkDay, lock=True)]
    in_at: Moment
    member: Annotated[UUID, Ref(Member)] | None = None
    age_class: AgeClasses = "adult"
    out_at: Moment | None = None
    how_known: HowKnown | None = None

    def __post_init__(self) -> None:
        """Refuse a check-out that does not say how its time is known."""
        if (self.out_at is None) != (self.how_known is None):
            raise ValueError("Say in how_known how out_at is known: measured or estimated.")


class CheckOut(Target, kw_only=True, frozen=True):
    """The end of a member's time on a work day."""

    out_at: Moment
    how_known: HowKnown


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
