"""What may be sent about the bottles that people carry."""

from fractions import Fraction
from typing import Annotated, Any, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.journal.fields import Amend, Closed, Moment, New, Ref, Target, Text, Volume
from stewardship.rules.decimals import parse_decimal
from stewardship.treatments.fields.amounts import SomeVolume
from stewardship.treatments.fields.lines import Treated
from stewardship.treatments.models import Batch, Session
from stewardship.workdays.models import WorkDay

Painted = Annotated[str, Meta(min_length=1, max_length=40, pattern=r"\S")]
Tap = Literal["full", "3/4", "1/2", "1/4", "empty"]
Seen = Literal["measured", "read_off_container", "estimated"]
TAPS: dict[str, Fraction] = {
    "full": Fraction(1), "3/4": Fraction(3, 4), "1/2": Fraction(1, 2), "1/4": Fraction(1, 4), "empty": Fraction(0),
}  # fmt: skip
ONE_OF_TWO = "Say what came back as a value with its unit, or as a tap: full, 3/4, 1/2, 1/4 or empty."


class Back(Closed, frozen=True):
    """What came back in a bottle: a volume, or a tap, which is a part of its capacity, else of what was filled."""

    value: Annotated[str, Meta(max_length=40)] | None = None
    unit: Annotated[str, Meta(max_length=20)] | None = None
    tap: Tap | None = None

    def __post_init__(self) -> None:
        """Refuse both, neither, half of one, and what is no volume."""
        if (self.value is None) != (self.unit is None) or (self.value is None) == (self.tap is None):
            raise ValueError(ONE_OF_TWO)
        self.volume()

    def volume(self) -> Volume | None:
        """Return the volume; None for a tap."""
        return None if self.value is None or self.unit is None else Volume(value=self.value, unit=self.unit)


class Share(str):
    """One line's part of the whole as decimal text above nothing: 2 and 1, or 0.5 and 0.25, divide alike."""

    @classmethod
    def read(cls, value: Any) -> "Share":
        """Refuse what is no number above nothing."""
        if not isinstance(value, str):
            raise ValueError('Write a share as text, such as "2" or "0.5".')
        if parse_decimal(value) <= 0:
            raise ValueError("A share is more than nothing. Leave the line out if nothing was used there.")
        return cls(value)

    @classmethod
    def schema(cls) -> dict[str, Any]:
        """Return its JSON Schema."""
        return {"type": "string", "description": cls.__doc__, "maxLength": 20}


class NewContainer(New, frozen=True):
    """A numbered bottle that was filled from a batch and taken out."""

    number: Painted
    batch: Annotated[UUID, Ref(Batch, lock=True)]
    filled: SomeVolume
    holder: Annotated[UUID, Ref(Member)]
    out_at: Moment
    capacity: SomeVolume | None = None
    work_day: Annotated[UUID, Ref(WorkDay, lock=True)] | None = None
    note: Text = ""


class BringBack(Target, frozen=True):
    """What came back in a bottle."""

    back: Back
    back_at: Moment
    how_known: Seen = "read_off_container"

    def __post_init__(self) -> None:
        """Refuse a tap that is called measured."""
        _check_seen(self.back, self.how_known)


class ShareLine(Treated, frozen=True):
    """One line that a bottle's amount is split over: by its stems, or by a stated share."""

    share: Share | None = None


class ShareContainer(Target, frozen=True):
    """The lines of one session that what was used of a bottle is split over."""

    session: Annotated[UUID, Ref(Session, lock=True)]
    lines: Annotated[list[ShareLine], Meta(min_length=1, max_length=40)]


class AmendContainer(Amend, frozen=True):
    """A correction of a bottle's outing; its amounts only while nothing of it stands in lines."""

    number: Painted | UnsetType = UNSET
    filled: SomeVolume | UnsetType = UNSET
    holder: Annotated[UUID, Ref(Member)] | UnsetType = UNSET
    out_at: Moment | UnsetType = UNSET
    capacity: SomeVolume | None | UnsetType = UNSET
    back: Back | UnsetType = UNSET
    back_at: Moment | UnsetType = UNSET
    how_known: Seen | UnsetType = UNSET
    note: Text | UnsetType = UNSET

    def __post_init__(self) -> None:
        """Refuse a tap that is called measured."""
        _check_seen(self.back, self.how_known)


def _check_seen(back: Back | UnsetType, how_known: str | UnsetType) -> None:
    if back is not UNSET and back.tap and how_known == "measured":
        raise ValueError("A tap is read off the bottle or estimated; it was not measured.")
