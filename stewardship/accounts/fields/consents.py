"""What may be sent about texts that people agree to, and who agreed."""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import ConsentText, Member
from stewardship.journal.fields import Amend, Name, New, Ref

ConsentKinds = Literal["waiver", "guardian_consent", "photo"]
Renewals = Literal["never", "months", "calendar_year"]
Hows = Literal["signed_in", "signed_sheet"]
Months = Annotated[int, Meta(ge=1, le=240)]
LongText = Annotated[str, Meta(min_length=1, max_length=20000, pattern=r"\S")]
Words = Annotated[str, Meta(max_length=200)]
Relation = Annotated[str, Meta(max_length=100)]


class NewConsentText(New, frozen=True):
    """A text to agree to: what for, from when on, and how long a consent lasts."""

    what: ConsentKinds
    title: Name
    text: LongText
    from_on: date
    renewal: Renewals = "never"
    renew_months: Months | None = None
    only_under_18: bool = False

    def __post_init__(self) -> None:
        """Refuse months without a number, and a number without months."""
        if (self.renewal == "months") != (self.renew_months is not None):
            raise ValueError("Say in renew_months how many months a consent lasts if it lasts for months, only then.")


class AmendConsentText(Amend, frozen=True):
    """Another title, or another first day; another wording is a new text."""

    title: Name | UnsetType = UNSET
    from_on: date | UnsetType = UNSET


class NewConsent(New, frozen=True):
    """A yes to a text; without ``member`` one's own. ``given_by``: the guardian of who is under 18."""

    text: Annotated[UUID, Ref(ConsentText)]
    given_on: date
    how: Hows
    member: Annotated[UUID, Ref(Member)] | None = None
    given_by: Words = ""
    relation: Relation = ""
    sheet: Words = ""

    def __post_init__(self) -> None:
        """Refuse a sheet without a name, and a name where no sheet was signed."""
        if (self.how == "signed_sheet") != bool(self.sheet.strip()):
            raise ValueError("Say in sheet which sheet was signed and where it is kept, if one was, and only then.")
