"""What may be sent about contractors."""

from datetime import date
from typing import Annotated

from msgspec import UNSET, Meta, UnsetType

from stewardship.journal.fields import Amend, Jurisdiction, Name, New, Text

Number = Annotated[str, Meta(max_length=100)]


class NewContractor(New, frozen=True):
    """A business that applies herbicide for the group; a day that is not given is not known."""

    name: Name
    licence_number: Number = ""
    licence_state: Jurisdiction = Jurisdiction("")
    licence_valid_to: date | None = None
    insurance_number: Number = ""
    insurance_valid_to: date | None = None
    contact: Text = ""
    note: Text = ""


class AmendContractor(Amend, frozen=True):
    """A correction of a contractor, or a renewal; what was judged before keeps its marks."""

    name: Name | UnsetType = UNSET
    licence_number: Number | UnsetType = UNSET
    licence_state: Jurisdiction | UnsetType = UNSET
    licence_valid_to: date | None | UnsetType = UNSET
    insurance_number: Number | UnsetType = UNSET
    insurance_valid_to: date | None | UnsetType = UNSET
    contact: Text | UnsetType = UNSET
    note: Text | UnsetType = UNSET
