"""What may be sent about kinds of credentials."""

from typing import Annotated, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.catalog.fields import Key
from stewardship.catalog.texts import DecimalText
from stewardship.credentials.fields.covers import Authority, Code, CoversName, GraceDays
from stewardship.credentials.models import CredentialType
from stewardship.journal.fields import Amend, Citation, Closed, Jurisdiction, Name, New, Ref, Text
from stewardship.rules.methods import Method
from stewardship.rules.refusals import RuleViolation
from stewardship.rules.validity import Kind, ValidityRule

Count = Annotated[int, Meta(ge=0, le=100)]
Age = Annotated[int, Meta(ge=1, le=120)]
TrainingMinutes = Annotated[int, Meta(ge=1, le=6000)]
Mode = Literal["in_person", "online", "self_study", "other"]
"""How credits were earned."""
SiteType = Annotated[str, Meta(min_length=1, max_length=200, pattern=r"\S")]


class Category(Closed, frozen=True):
    """A category of a kind of credential; methods or site types that it does not name are any."""

    code: Code
    name: Text = ""
    methods: Annotated[list[Method], Meta(max_length=11)] = []
    site_types: Annotated[list[SiteType], Meta(max_length=30)] = []


class Validity(Closed, frozen=True):
    """How long such a credential counts: the kind of the rule, and the figures that it takes."""

    kind: Kind
    years: Count = 0
    months: Count = 0
    month: int | None = None
    day: int | None = None

    def __post_init__(self) -> None:
        """Refuse a rule from which no last day follows."""
        try:
            ValidityRule(kind=self.kind, years=self.years, months=self.months, month=self.month, day=self.day)
        except RuleViolation as refusal:
            raise ValueError(str(refusal)) from refusal


class Credits(Closed, frozen=True):
    """Credits wanted in a cycle: in one category, or core ones where none is named; ``caps``: the most of a mode."""

    wanted: DecimalText
    category: Annotated[str, Meta(max_length=40)] = ""
    caps: dict[Mode, DecimalText] = {}


Categories = Annotated[list[Category], Meta(max_length=60)]
Needs = Annotated[list[CoversName], Meta(max_length=5)]
NeedsTypes = Annotated[list[Annotated[UUID, Ref(CredentialType)]], Meta(max_length=10)]
CreditRules = Annotated[list[Credits], Meta(max_length=60)]


class NewCredentialType(New, frozen=True):
    """A kind of licence, certificate, training or card, with the source of its rules."""

    name: Name
    covers: CoversName
    validity: Validity
    source: Citation
    authority: Authority = ""
    jurisdiction: Jurisdiction = Jurisdiction("")
    categories: Categories = []
    grace_days: GraceDays = 0
    needs: Needs = []
    needs_types: NeedsTypes = []
    names_products: bool = False
    names_properties: bool = False
    admits_restricted: bool = False
    minimum_age_years: Age | None = None
    training_minutes: TrainingMinutes | None = None
    credits: CreditRules = []
    credit_cycle_years: Annotated[int, Meta(ge=1, le=100)] | None = None
    note: Text = ""
    reference_key: Key = ""


class AmendCredentialType(Amend, frozen=True):
    """A correction of a kind of credential; credentials that were entered keep their last day."""

    name: Name | UnsetType = UNSET
    covers: CoversName | UnsetType = UNSET
    validity: Validity | UnsetType = UNSET
    source: Citation | UnsetType = UNSET
    authority: Authority | UnsetType = UNSET
    jurisdiction: Jurisdiction | UnsetType = UNSET
    categories: Categories | UnsetType = UNSET
    grace_days: GraceDays | UnsetType = UNSET
    needs: Needs | UnsetType = UNSET
    needs_types: NeedsTypes | UnsetType = UNSET
    names_products: bool | UnsetType = UNSET
    names_properties: bool | UnsetType = UNSET
    admits_restricted: bool | UnsetType = UNSET
    minimum_age_years: Age | None | UnsetType = UNSET
    training_minutes: TrainingMinutes | None | UnsetType = UNSET
    credits: CreditRules | UnsetType = UNSET
    credit_cycle_years: Annotated[int, Meta(ge=1, le=100)] | None | UnsetType = UNSET
    note: Text | UnsetType = UNSET
