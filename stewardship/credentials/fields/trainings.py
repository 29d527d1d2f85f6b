"""What may be sent about trainings."""

from datetime import date
from typing import Annotated
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.attachments.fields import Files
from stewardship.credentials.fields.credentials import Number, Products, Properties
from stewardship.credentials.models import CredentialType
from stewardship.journal.fields import Amend, Name, New, Ref, Target, Text
from stewardship.rules.methods import Method

Minutes = Annotated[int, Meta(ge=1, le=6000)]
Place = Annotated[str, Meta(max_length=400)]
OtherName = Annotated[str, Meta(max_length=200)]
Methods = Annotated[list[Method], Meta(max_length=11)]


class NewTraining(New, frozen=True):
    """The training of one member; the trainer is a member, or somebody else by name."""

    trainee: Annotated[UUID, Ref(Member)]
    type: Annotated[UUID, Ref(CredentialType)]
    on_date: date
    title: Name
    minutes: Minutes
    trainer: Annotated[UUID, Ref(Member)] | None = None
    trainer_name: OtherName = ""
    trainer_licence_number: Number = ""
    trainer_licence_ends_on: date | None = None
    sponsor: OtherName = ""
    place: Place = ""
    topics: Text = ""
    products: Products = []
    properties: Properties = []
    methods: Methods = []
    equipment: Place = ""
    label_copies: bool | None = None
    evidence: Files = []
    note: Text = ""


class AmendTraining(Amend, frozen=True):
    """A correction of a training; what its trainee signed must be signed again, unless only files or a note change."""

    type: Annotated[UUID, Ref(CredentialType)] | UnsetType = UNSET
    on_date: date | UnsetType = UNSET
    title: Name | UnsetType = UNSET
    minutes: Minutes | UnsetType = UNSET
    trainer: Annotated[UUID, Ref(Member)] | None | UnsetType = UNSET
    trainer_name: OtherName | UnsetType = UNSET
    trainer_licence_number: Number | UnsetType = UNSET
    trainer_licence_ends_on: date | None | UnsetType = UNSET
    sponsor: OtherName | UnsetType = UNSET
    place: Place | UnsetType = UNSET
    topics: Text | UnsetType = UNSET
    products: Products | UnsetType = UNSET
    properties: Properties | UnsetType = UNSET
    methods: Methods | UnsetType = UNSET
    equipment: Place | UnsetType = UNSET
    label_copies: bool | None | UnsetType = UNSET
    evidence: Files | UnsetType = UNSET
    note: Text | UnsetType = UNSET


class SignTraining(Target, frozen=True):
    """The trainee's signature. A coordinator who enters one for somebody else names the signed ``sheet``."""

    sheet: Text = ""
