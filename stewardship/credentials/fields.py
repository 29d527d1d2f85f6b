"""What may be sent about credentials."""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.journal.fields import Amend, New, Ref, Text

CoversName = Literal["herbicide_application", "saw", "first_aid", "burning", "training"]
Authority = Annotated[str, Meta(max_length=200)]
Number = Annotated[str, Meta(max_length=100)]
GraceDays = Annotated[int, Meta(ge=0, le=3660)]


class NewCredential(New, frozen=True):
    """A credential of a member; without ``received_on`` it is pending and does not count."""

    holder: Annotated[UUID, Ref(Member)]
    covers: CoversName
    authority: Authority = ""
    number: Number = ""
    issued_on: date | None = None
    expires_on: date | None = None
    never_expires: bool = False
    grace_days: GraceDays = 0
    received_on: date | None = None
    note: Text = ""


class AmendCredential(Amend, frozen=True):
    """A correction of a credential; it stays with its holder. A renewal is a credential of its own."""

    covers: CoversName | UnsetType = UNSET
    authority: Authority | UnsetType = UNSET
    number: Number | UnsetType = UNSET
    issued_on: date | None | UnsetType = UNSET
    expires_on: date | None | UnsetType = UNSET
    never_expires: bool | UnsetType = UNSET
    grace_days: GraceDays | UnsetType = UNSET
    received_on: date | None | UnsetType = UNSET
    note: Text | UnsetType = UNSET
