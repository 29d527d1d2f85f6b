"""What may be sent about the registration of a product."""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.catalog.fields import Carrier, Key
from stewardship.catalog.mixing.fields import Strength
from stewardship.catalog.models import Product
from stewardship.catalog.texts import DecimalOrNone, DecimalText, RegistrationNo
from stewardship.journal.fields import Amend, Citation, Closed, Jurisdiction, Length, Name, New, Ref, Text
from stewardship.rules.area_years import CEILING_UNITS
from stewardship.rules.methods import HerbicideMethod

Sites = Annotated[list[Name], Meta(max_length=50)]
Methods = Annotated[list[HerbicideMethod], Meta(max_length=6)]
Carriers = Annotated[list[Carrier], Meta(max_length=3)]
Days = Annotated[int, Meta(ge=1, le=3660)]
Edition = Annotated[str, Meta(max_length=100)]
WhichArea = Literal["treated", "infested", "property", "not_said"]


class State(Jurisdiction):
    """The ISO 3166 code of a country or a part of one, such as US-WA."""

    @classmethod
    def read(cls, value: object) -> "State":
        """Refuse what cannot be one, and an empty one."""
        if not value:
            raise ValueError("Say where it is registered, such as US-WA.")
        return cls(super().read(value))


class LabelledUse(Closed, frozen=True):
    """What the label names together: these sites, by these methods, in these carriers; an empty list is any."""

    sites: Sites = []
    methods: Methods = []
    carriers: Carriers = []


class YearlyMaximum(Closed, frozen=True):
    """The most in a year, and on which acre or hectare: of the ground treated, the ground infested, the property."""

    value: DecimalText
    unit: Annotated[str, Meta(max_length=20)]
    area: WhichArea = "not_said"

    def __post_init__(self) -> None:
        """Refuse a unit that is none of a ceiling's."""
        if self.unit not in CEILING_UNITS:
            raise ValueError(f"A yearly maximum is stated in one of: {', '.join(CEILING_UNITS)}.")


class Setback(Closed, frozen=True):
    """How far the label has it kept from something, such as a well."""

    what: Name
    distance: Length


Uses = Annotated[list[LabelledUse], Meta(max_length=100)]
Setbacks = Annotated[list[Setback], Meta(max_length=50)]


class NewRegistration(New, frozen=True):
    """A product's registration in a jurisdiction. What is not given is unknown; without uses they are not on record."""

    product: Annotated[UUID, Ref(Product)]
    jurisdiction: State
    source: Citation
    number: RegistrationNo = RegistrationNo("")
    valid_from: date | None = None
    valid_to: date | None = None
    label_edition: Edition = ""
    uses: Uses = []
    max_strength: Strength | None = None
    yearly_max: YearlyMaximum | None = None
    retreat_days: Days | None = None
    entry: Text = ""
    entry_hours: DecimalOrNone = DecimalOrNone("")
    rainfast_hours: DecimalOrNone = DecimalOrNone("")
    soil_active: bool | None = None
    setbacks: Setbacks = []
    note: Text = ""
    reference_key: Key = ""


class AmendRegistration(Amend, frozen=True):
    """A correction of a registration, or its new last day; what was judged by it before keeps its marks."""

    source: Citation | UnsetType = UNSET
    number: RegistrationNo | UnsetType = UNSET
    valid_from: date | None | UnsetType = UNSET
    valid_to: date | None | UnsetType = UNSET
    label_edition: Edition | UnsetType = UNSET
    uses: Uses | UnsetType = UNSET
    max_strength: Strength | None | UnsetType = UNSET
    yearly_max: YearlyMaximum | None | UnsetType = UNSET
    retreat_days: Days | None | UnsetType = UNSET
    entry: Text | UnsetType = UNSET
    entry_hours: DecimalOrNone | UnsetType = UNSET
    rainfast_hours: DecimalOrNone | UnsetType = UNSET
    soil_active: bool | None | UnsetType = UNSET
    setbacks: Setbacks | UnsetType = UNSET
    note: Text | UnsetType = UNSET
