"""What may be sent about credentials."""

from datetime import date
from typing import Annotated
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.attachments.fields import Files, MoreFiles
from stewardship.catalog.models import Product
from stewardship.credentials.fields.covers import Authority, Code, CoversName, GraceDays
from stewardship.credentials.models import CredentialType
from stewardship.journal.fields import Amend, Closed, New, Reason, Ref, Target, Text
from stewardship.places.models import Property
from stewardship.rules.refusals import RuleViolation
from stewardship.rules.validity import Suspension

Number = Annotated[str, Meta(max_length=100)]
Codes = Annotated[list[Code], Meta(max_length=60)]
Products = Annotated[list[Annotated[UUID, Ref(Product)]], Meta(max_length=100)]
Properties = Annotated[list[Annotated[UUID, Ref(Property)]], Meta(max_length=200)]


class Suspended(Closed, frozen=True):
    """Days on which a credential did not count, first and last included; without a last day: not lifted yet."""

    first_on: date
    last_on: date | None = None
    reason: Reason = ""

    def __post_init__(self) -> None:
        """Refuse an end before the beginning."""
        try:
            Suspension(self.first_on, self.last_on)
        except RuleViolation as refusal:
            raise ValueError(str(refusal)) from refusal


Suspensions = Annotated[list[Suspended], Meta(max_length=30)]


class NewCredential(New, frozen=True):
    """A credential of a member; without ``received_on`` it is pending and does not count.

    What it covers, its last day, its grace and who issued it follow from its ``type`` where they are not told.
    """

    holder: Annotated[UUID, Ref(Member)]
    type: Annotated[UUID, Ref(CredentialType)] | None = None
    covers: CoversName | None = None
    authority: Authority = ""
    number: Number = ""
    issued_on: date | None = None
    expires_on: date | None = None
    never_expires: bool = False
    grace_days: GraceDays | None = None
    received_on: date | None = None
    categories: Codes = []
    products: Products = []
    properties: Properties = []
    suspensions: Suspensions = []
    evidence: Files = []
    note: Text = ""

    def __post_init__(self) -> None:
        """Refuse a credential of which nobody can tell what it is for."""
        if self.type is None and self.covers is None:
            raise ValueError("Say what the credential covers, or name its type.")


class ShowCredential(Target, frozen=True):
    """Files that show a credential, beside those that it names already."""

    evidence: MoreFiles


class AmendCredential(Amend, frozen=True):
    """A correction of a credential; it stays with its holder. A renewal is a credential of its own."""

    type: Annotated[UUID, Ref(CredentialType)] | None | UnsetType = UNSET
    covers: CoversName | UnsetType = UNSET
    authority: Authority | UnsetType = UNSET
    number: Number | UnsetType = UNSET
    issued_on: date | None | UnsetType = UNSET
    expires_on: date | None | UnsetType = UNSET
    never_expires: bool | UnsetType = UNSET
    grace_days: GraceDays | UnsetType = UNSET
    received_on: date | None | UnsetType = UNSET
    categories: Codes | UnsetType = UNSET
    products: Products | UnsetType = UNSET
    properties: Properties | UnsetType = UNSET
    suspensions: Suspensions | UnsetType = UNSET
    evidence: Files | UnsetType = UNSET
    note: Text | UnsetType = UNSET
