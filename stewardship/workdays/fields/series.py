"""What may be sent about work days that come back."""

from datetime import date
from typing import Annotated
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.journal.fields import Amend, Closed, Name, New, Ref, Target, Text
from stewardship.places.models import Property
from stewardship.workdays.fields.days import Capacity, Contact, Hazards, Methods, Products, SpeciesWorkedOn, Units
from stewardship.workdays.fields.duties import Age, DutyNames, OtherName
from stewardship.workdays.models import ApprovedTask

RuleText = Annotated[str, Meta(min_length=1, max_length=500)]
LocalTime = Annotated[str, Meta(pattern=r"^([01]\d|2[0-3]):[0-5]\d$")]
Minutes = Annotated[int, Meta(ge=1, le=1440)]
Without = Annotated[list[date], Meta(max_length=366)]
HoursBefore = Annotated[int, Meta(ge=0, le=24 * 30)]


class DayPlan(Closed, frozen=True):
    """What each day of a series looks like; times are told in hours before it begins."""

    meeting_point: Text = ""
    access: Text = ""
    bring: Text = ""
    hazards: Hazards = []
    note: Text = ""
    leader: Annotated[UUID, Ref(Member)] | None = None
    leader_contact: Contact = ""
    capacity: Capacity | None = None
    sign_up_closes_h: HoursBefore | None = None
    weather_decision_h: HoursBefore | None = None
    units: Units = []
    task: Annotated[UUID, Ref(ApprovedTask)] | None = None
    species: SpeciesWorkedOn = []
    methods: Methods = []
    products: Products = []
    herbicide_planned: bool = False


class DutyWanted(Closed, frozen=True):
    """A job on each day of a series, and how many people are wanted for it."""

    name: DutyNames
    wanted: Annotated[int, Meta(ge=1, le=1000)]
    other_name: OtherName = ""
    minimum_age: Age | None = None

    def __post_init__(self) -> None:
        """Refuse an other duty without words, and words for one that has a name."""
        if (self.name == "other") != bool(self.other_name.strip()):
            raise ValueError("Say in other_name what the duty is if its name is other, and only then.")


Duties = Annotated[list[DutyWanted], Meta(max_length=20)]


class NewWorkDaySeries(New, frozen=True):
    """A series of work days: ``rule`` as RFC 5545 writes it, its times by the clock of the property."""

    property: Annotated[UUID, Ref(Property)]
    title: Name
    rule: RuleText
    first_on: date
    starts: LocalTime
    minutes: Minutes
    without: Without = []
    plan: DayPlan = DayPlan()
    duties: Duties = []
    opens: bool = False


class AmendWorkDaySeries(Amend, frozen=True):
    """A change of a series: of its days it changes those to come that nobody changed by themselves."""

    title: Name | UnsetType = UNSET
    rule: RuleText | UnsetType = UNSET
    first_on: date | UnsetType = UNSET
    starts: LocalTime | UnsetType = UNSET
    minutes: Minutes | UnsetType = UNSET
    without: Without | UnsetType = UNSET
    plan: DayPlan | UnsetType = UNSET
    duties: Duties | UnsetType = UNSET
    opens: bool | UnsetType = UNSET


class EndWorkDaySeries(Target, kw_only=True, frozen=True):
    """The last day of a series, and why."""

    last_on: date
