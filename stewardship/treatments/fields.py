"""What may be sent about batches, sessions, applications and work lines."""

from typing import Annotated, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.catalog.models import Product, Species
from stewardship.journal.fields import Amend, Area, Closed, Moment, Name, New, Quantity, Ref, Target, Text, Volume
from stewardship.places.models import Unit
from stewardship.rules.methods import HerbicideMethod, ManualMethod
from stewardship.rules.shares import AmountNotPositive
from stewardship.treatments.models import Batch, Session
from stewardship.workdays.models import WorkDay

HowKnown = Literal["measured", "read_off_container", "estimated", "apportioned"]
Carrier = Literal["water", "oil", "none"]
Stems = Annotated[int, Meta(ge=1, le=1_000_000)]
Minutes = Annotated[int, Meta(ge=1, le=1_000_000)]


class SomeVolume(Volume, frozen=True):
    """A volume above nothing."""

    def __post_init__(self) -> None:
        """Refuse an amount of nothing, or of less than a nanolitre."""
        super().__post_init__()
        _check_some(self, "this volume")


class SomeArea(Area, frozen=True):
    """An area above nothing."""

    def __post_init__(self) -> None:
        """Refuse an amount of nothing, or of less than a square millimetre."""
        super().__post_init__()
        _check_some(self, "this area, or leave it out")


def _check_some(quantity: Quantity, what: str) -> None:
    if quantity.amount() == 0:
        refusal = AmountNotPositive(what=what)
        raise ValueError(str(refusal)) from refusal


class Part(Closed, frozen=True):
    """A product in a mix: the undiluted volume that was poured in."""

    product: Annotated[UUID, Ref(Product)]
    volume: SomeVolume


class Adjuvant(Closed, frozen=True):
    """An adjuvant or dye in a mix."""

    name: Name
    volume: SomeVolume


class NewBatch(New, frozen=True):
    """A batch that was mixed."""

    mixed_at: Moment
    mixed_by: Annotated[UUID, Ref(Member)]
    mix: SomeVolume
    how_known: HowKnown
    carrier: Carrier
    parts: Annotated[list[Part], Meta(min_length=1, max_length=10)]
    adjuvants: Annotated[list[Adjuvant], Meta(max_length=10)] = []
    work_day: Annotated[UUID, Ref(WorkDay, lock=True)] | None = None
    note: Text = ""


class AmendBatch(Amend, frozen=True):
    """A correction of a batch; what it is made of only while nothing was drawn from it."""

    mixed_at: Moment | UnsetType = UNSET
    mixed_by: Annotated[UUID, Ref(Member)] | UnsetType = UNSET
    mix: SomeVolume | UnsetType = UNSET
    how_known: HowKnown | UnsetType = UNSET
    carrier: Carrier | UnsetType = UNSET
    parts: Annotated[list[Part], Meta(min_length=1, max_length=10)] | UnsetType = UNSET
    adjuvants: Annotated[list[Adjuvant], Meta(max_length=10)] | UnsetType = UNSET
    note: Text | UnsetType = UNSET


class NewSession(New, frozen=True):
    """A treatment session by one applicator in one unit."""

    unit: Annotated[UUID, Ref(Unit)]
    applicator: Annotated[UUID, Ref(Member)]
    started_at: Moment
    ended_at: Moment | None = None
    work_day: Annotated[UUID, Ref(WorkDay, lock=True)] | None = None
    note: Text = ""


class EndSession(Target, frozen=True):
    """The end of a session."""

    ended_at: Moment


class AmendSession(Amend, frozen=True):
    """A correction of a session."""

    applicator: Annotated[UUID, Ref(Member)] | UnsetType = UNSET
    started_at: Moment | UnsetType = UNSET
    ended_at: Moment | None | UnsetType = UNSET
    note: Text | UnsetType = UNSET


class NewApplication(New, frozen=True):
    """What was used of a batch on one species by one method, in the session's unit unless another is named."""

    session: Annotated[UUID, Ref(Session, lock=True)]
    batch: Annotated[UUID, Ref(Batch, lock=True)]
    species: Annotated[UUID, Ref(Species)]
    method: HerbicideMethod
    mix: SomeVolume
    how_known: HowKnown
    unit: Annotated[UUID, Ref(Unit)] | None = None
    stems: Stems | None = None
    area: SomeArea | None = None
    is_follow_up: bool | None = None
    note: Text = ""


class AmendApplication(Amend, frozen=True):
    """A correction of an application; the wrong batch or session is voided and entered anew."""

    species: Annotated[UUID, Ref(Species)] | UnsetType = UNSET
    method: HerbicideMethod | UnsetType = UNSET
    mix: SomeVolume | UnsetType = UNSET
    how_known: HowKnown | UnsetType = UNSET
    unit: Annotated[UUID, Ref(Unit)] | UnsetType = UNSET
    stems: Stems | None | UnsetType = UNSET
    area: SomeArea | None | UnsetType = UNSET
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
