"""What may be sent about published practices."""

from typing import Annotated, Literal

from msgspec import UNSET, Meta, UnsetType

from stewardship.catalog.profiles.fields import RuleClock
from stewardship.journal.fields import Amend, Citation, Jurisdiction, Name, New, Text

PracticeKinds = Literal["minimum_age", "briefing_topic", "emergency_number", "incident_clock"]
Subject = Annotated[str, Meta(max_length=30, pattern=r"^[a-z0-9_]*$")]
Value = Annotated[str, Meta(max_length=60)]
Key = Annotated[str, Meta(max_length=80)]
Place = Annotated[int, Meta(ge=1, le=1000)]
MOST_YEARS = 120


class NewPractice(New, frozen=True):
    """A published practice, with its source; see the record for what its fields hold."""

    what: PracticeKinds
    title: Name
    source: Citation
    subject: Subject = ""
    wording: Text = ""
    value: Value = ""
    clock: RuleClock | None = None
    jurisdiction: Jurisdiction = Jurisdiction("")
    with_herbicide: bool = False
    is_followed: bool = True
    place: Place = 1
    note: Text = ""
    reference_key: Key = ""

    def __post_init__(self) -> None:
        """Refuse an age that is none, a clock where none runs, and none where one does."""
        if self.what == "minimum_age" and not (self.value.isdigit() and 1 <= int(self.value) <= MOST_YEARS):
            raise ValueError("Write in value the least age, in whole years.")
        if self.what == "minimum_age" and not self.subject:
            raise ValueError("Name in subject the duty that the age is for.")
        if self.what == "emergency_number" and not any(each.isdigit() for each in self.value):
            raise ValueError("Write in value the number to call.")
        if (self.what == "incident_clock") != (self.clock is not None):
            raise ValueError("Say in clock how long there is to report an incident, and only then.")


class AmendPractice(Amend, frozen=True):
    """A correction of a practice, or whether the group goes by it."""

    title: Name | UnsetType = UNSET
    source: Citation | UnsetType = UNSET
    wording: Text | UnsetType = UNSET
    is_followed: bool | UnsetType = UNSET
    place: Place | UnsetType = UNSET
    note: Text | UnsetType = UNSET
