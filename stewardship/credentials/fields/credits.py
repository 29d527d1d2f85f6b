"""What may be sent about credits."""

from datetime import date
from typing import Annotated
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.attachments.fields import Files
from stewardship.catalog.texts import DecimalText
from stewardship.credentials.fields.credentials import Number
from stewardship.credentials.fields.types import Mode
from stewardship.credentials.models import CredentialType
from stewardship.journal.fields import Amend, Name, New, Ref, Text

CategoryCode = Annotated[str, Meta(max_length=40)]
Provider = Annotated[str, Meta(max_length=200)]


class NewCredit(New, frozen=True):
    """The credits of one course that a member took, towards one kind of credential; without a category: core."""

    member: Annotated[UUID, Ref(Member)]
    type: Annotated[UUID, Ref(CredentialType)]
    mode: Mode
    amount: DecimalText
    on_date: date
    title: Name
    category: CategoryCode = ""
    provider: Provider = ""
    course_number: Number = ""
    evidence: Files = []
    note: Text = ""


class AmendCredit(Amend, frozen=True):
    """A correction of the credits of a course; they stay with the member and the kind of credential."""

    mode: Mode | UnsetType = UNSET
    amount: DecimalText | UnsetType = UNSET
    on_date: date | UnsetType = UNSET
    title: Name | UnsetType = UNSET
    category: CategoryCode | UnsetType = UNSET
    provider: Provider | UnsetType = UNSET
    course_number: Number | UnsetType = UNSET
    evidence: Files | UnsetType = UNSET
    note: Text | UnsetType = UNSET
