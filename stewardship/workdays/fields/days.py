"""What may be sent about work days."""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.catalog.models import Product, Species
from stewardship.journal.fields import Amend, Closed, Moment, Name, New, Ref, Target, Text
from stewardship.places.models import Property, Unit
from stewardship.rules.methods import Method
from stewardship.workdays.models import ApprovedTask

Units = Annotated[list[Annotated[UUID, Ref(Unit)]], Meta(max_length=200)]
SpeciesWorkedOn = Annotated[list[Annotated[UUID, Ref(Species)]], Meta(max_length=100)]
Products = Annotated[list[Annotated[UUID, Ref(Product)]], Meta(max_length=50)]
Methods = Annotated[list[Method], Meta(max_length=20)]
Capacity = Annotated[int, Meta(ge=1, le=1000)]
Contact = Annotated[str, Meta(max_length=200)]
HazardKinds = Literal[
    "insects", "poison_ivy", "overhead", "felling", "slope", "water", "heat", "cold", "buried_utilities", "traffic",
    "tools", "thorns", "animals", "people", "other",
]  # fmt: skip


class Hazard(Closed, frozen=True):
    """Something to look out for on a work day; where, or what is done about it, in ``note``."""

    what: HazardKinds
    note: Annotated[str, Meta(max_length=500)] = ""

    def __post_init__(self) -> None:
        """Refuse something else that nobody says what it is."""
        if self.what == "other" and not self.note.strip():
            raise ValueError("Say in note what else there is to look out for.")


Hazards = Annotated[list[Hazard], Meta(max_length=30)]


class NewWorkDay(New, frozen=True):
    """A work day on a property: a draft, until it is opened. ``on_date`` is the property's local date."""

    property: Annotated[UUID, Ref(Property)]
    title: Name
    on_date: date
    starts_at: Moment | None = None
    ends_at: Moment | None = None
    meeting_point: Text = ""
    access: Text = ""
    bring: Text = ""
    hazards: Hazards = []
    note: Text = ""
    notice: Text = ""
    leader: Annotated[UUID, Ref(Member)] | None = None
    leader_contact: Contact = ""
    capacity: Capacity | None = None
    sign_up_closes_at: Moment | None = None
    weather_decision_at: Moment | None = None
    units: Units = []
    task: Annotated[UUID, Ref(ApprovedTask)] | None = None
    species: SpeciesWorkedOn = []
    methods: Methods = []
    products: Products = []
    herbicide_planned: bool = False


class AmendWorkDay(Amend, frozen=True):
    """A change of a work day; it stays with its property."""

    title: Name | UnsetType = UNSET
    on_date: date | UnsetType = UNSET
    starts_at: Moment | None | UnsetType = UNSET
    ends_at: Moment | None | UnsetType = UNSET
    meeting_point: Text | UnsetType = UNSET
    access: Text | UnsetType = UNSET
    bring: Text | UnsetType = UNSET
    hazards: Hazards | UnsetType = UNSET
    note: Text | UnsetType = UNSET
    notice: Text | UnsetType = UNSET
    leader: Annotated[UUID, Ref(Member)] | None | UnsetType = UNSET
    leader_contact: Contact | UnsetType = UNSET
    capacity: Capacity | None | UnsetType = UNSET
    sign_up_closes_at: Moment | None | UnsetType = UNSET
    weather_decision_at: Moment | None | UnsetType = UNSET
    units: Units | UnsetType = UNSET
    task: Annotated[UUID, Ref(ApprovedTask)] | None | UnsetType = UNSET
    species: SpeciesWorkedOn | UnsetType = UNSET
    methods: Methods | UnsetType = UNSET
    products: Products | UnsetType = UNSET
    herbicide_planned: bool | UnsetType = UNSET


class PostponeWorkDay(Target, kw_only=True, frozen=True):
    """Another date for a work day; who signed up stays signed up. Without times it keeps those of the clock.

    ``notice``: what is told to who signed up, beside the reason.
    """

    on_date: date
    starts_at: Moment | None | UnsetType = UNSET
    ends_at: Moment | None | UnsetType = UNSET
    notice: Text = ""


class CancelWorkDay(Target, kw_only=True, frozen=True):
    """The end of a plan, with the reason; ``notice``: what else is told to who signed up."""

    notice: Text = ""


class StopWorkDay(Target, kw_only=True, frozen=True):
    """The early end of a work day: when, and why."""

    stopped_at: Moment


class AnswerForDay(Target, kw_only=True, frozen=True):
    """Whether anything went wrong on a work day."""

    had_incident: bool
