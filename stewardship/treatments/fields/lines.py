"""What may be sent about applications and work lines."""

from typing import Annotated, Literal
from uuid import UUID

from msgspec import UNSET, UnsetType

from stewardship.catalog.models import Species
from stewardship.journal.fields import Amend, Closed, Moment, New, Ref, Text
from stewardship.places.models import Unit
from stewardship.rules.methods import HerbicideMethod, ManualMethod
from stewardship.treatments.fields.amounts import HowKnown, Minutes, SomeArea, SomeVolume, Stems
from stewardship.treatments.models import Batch, Container, Leftover, Session
from stewardship.workdays.models import WorkDay

LongestWait = Literal["", "under_1_min", "1_to_5_min", "5_to_15_min", "15_to_60_min", "60_min_or_more"]
"""A class of ``rules.limits.WAITS``; empty: not told."""


class Treated(Closed, kw_only=True, frozen=True):
    """What was treated: one species by one method, in the session's unit unless another is named."""

    species: Annotated[UUID, Ref(Species)]
    method: HerbicideMethod
    unit: Annotated[UUID, Ref(Unit, lock=True)] | None = None
    stems: Stems | None = None
    area: SomeArea | None = None
    infested_area: SomeArea | None = None
    longest_wait: LongestWait = ""
    is_spot: bool = False
    is_follow_up: bool | None = None
    note: Text = ""


class NewApplication(Treated, kw_only=True, frozen=True):
    """What was used of a batch on one species by one method, out of a numbered bottle where one is named.

    Instead of the batch, or beside it, a leftover of it may be named.
    """

    id: UUID | None = None
    session: Annotated[UUID, Ref(Session, lock=True)]
    batch: Annotated[UUID, Ref(Batch, lock=True)] | None = None
    leftover: Annotated[UUID, Ref(Leftover, lock=True)] | None = None
    container: Annotated[UUID, Ref(Container, lock=True)] | None = None
    mix: SomeVolume
    how_known: HowKnown

    def __post_init__(self) -> None:
        """Refuse a use of nothing."""
        if self.batch is None and self.leftover is None:
            raise ValueError("Name the batch, or the leftover, that this was used of.")


class AmendApplication(Amend, frozen=True):
    """A correction of an application; the wrong batch or session is voided and entered anew."""

    species: Annotated[UUID, Ref(Species)] | UnsetType = UNSET
    method: HerbicideMethod | UnsetType = UNSET
    mix: SomeVolume | UnsetType = UNSET
    how_known: HowKnown | UnsetType = UNSET
    unit: Annotated[UUID, Ref(Unit, lock=True)] | UnsetType = UNSET
    stems: Stems | None | UnsetType = UNSET
    area: SomeArea | None | UnsetType = UNSET
    infested_area: SomeArea | None | UnsetType = UNSET
    longest_wait: LongestWait | UnsetType = UNSET
    is_spot: bool | UnsetType = UNSET
    is_follow_up: bool | None | UnsetType = UNSET
    note: Text | UnsetType = UNSET


class NewWorkLine(New, frozen=True):
    """Work done by hand on one species by one method in one unit."""

    unit: Annotated[UUID, Ref(Unit)]
    species: Annotated[UUID, Ref(Species)]
    method: ManualMethod
    done_at: Moment
    work_day: Annotated[UUID, Ref(WorkDay, lock=True)] | None = None
    minutes: Minutes | None = None
    stems: Stems | None = None
    area: SomeArea | None = None
    is_follow_up: bool | None = None
    note: Text = ""


class AmendWorkLine(Amend, frozen=True):
    """A correction of a work line."""

    species: Annotated[UUID, Ref(Species)] | UnsetType = UNSET
    method: ManualMethod | UnsetType = UNSET
    minutes: Minutes | None | UnsetType = UNSET
    stems: Stems | None | UnsetType = UNSET
    area: SomeArea | None | UnsetType = UNSET
    is_follow_up: bool | None | UnsetType = UNSET
    note: Text | UnsetType = UNSET
