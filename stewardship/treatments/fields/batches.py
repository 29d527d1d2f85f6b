"""What may be sent about batches."""

from typing import Annotated
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.attachments.fields import Files
from stewardship.catalog.models import Product
from stewardship.journal.fields import Amend, Closed, Moment, Name, New, Ref, Target, Text
from stewardship.treatments.fields.amounts import Carrier, HowKnown, SomeMass, SomeVolume
from stewardship.treatments.models import Batch, Leftover, Lot
from stewardship.workdays.models import WorkDay


class Drawn(Closed, frozen=True):
    """A lot that a product was drawn from, and how much; all of the product where only one lot is named."""

    lot: Annotated[UUID, Ref(Lot, lock=True)]
    volume: SomeVolume | None = None
    mass: SomeMass | None = None

    def __post_init__(self) -> None:
        """Refuse two amounts."""
        if self.volume and self.mass:
            raise ValueError("Say how much came from this lot once: its volume, or of a dry product its mass.")


class Part(Closed, frozen=True):
    """A product in a mix: the undiluted volume that was poured in, what had been planned, and from which lots."""

    product: Annotated[UUID, Ref(Product)]
    volume: SomeVolume | None = None
    mass: SomeMass | None = None
    pieces: Annotated[int, Meta(ge=1, le=10_000)] | None = None
    planned: SomeVolume | None = None
    lots: Annotated[list[Drawn], Meta(max_length=10)] = []

    def __post_init__(self) -> None:
        """Refuse a product without an amount, or with two."""
        if sum(amount is not None for amount in (self.volume, self.mass, self.pieces)) != 1:
            raise ValueError("Say how much of the product was poured in: its volume, its mass, or pieces of it.")


class Adjuvant(Closed, frozen=True):
    """An adjuvant or dye in a mix."""

    name: Name
    volume: SomeVolume


class Poured(Closed, frozen=True):
    """What was poured in of another batch; of a leftover all of it, unless a volume is given."""

    batch: Annotated[UUID, Ref(Batch, lock=True)] | None = None
    leftover: Annotated[UUID, Ref(Leftover, lock=True)] | None = None
    volume: SomeVolume | None = None

    def __post_init__(self) -> None:
        """Refuse what comes out of nothing, and a batch without a volume."""
        if self.leftover is None and (self.batch is None or self.volume is None):
            raise ValueError("Name the leftover that was poured in, or the batch and how much of it.")


class NewBatch(New, frozen=True):
    """A batch that was mixed: of products, or topped up from other batches, or both."""

    mixed_at: Moment
    mixed_by: Annotated[UUID, Ref(Member)]
    mix: SomeVolume
    how_known: HowKnown
    carrier: Carrier
    mixed_where: Text = ""
    carrier_volume: SomeVolume | None = None
    parts: Annotated[list[Part], Meta(max_length=10)] = []
    adjuvants: Annotated[list[Adjuvant], Meta(max_length=10)] = []
    poured_from: Annotated[list[Poured], Meta(max_length=10)] = []
    work_day: Annotated[UUID, Ref(WorkDay, lock=True)] | None = None
    photos: Files = []
    note: Text = ""

    def __post_init__(self) -> None:
        """Refuse a mix of nothing."""
        if not (self.parts or self.poured_from):
            raise ValueError("Say what was poured in: at least one product, or a batch that was topped up.")


class AmendBatch(Amend, frozen=True):
    """A correction of a batch; what it is made of only while nothing was drawn from it."""

    mixed_at: Moment | UnsetType = UNSET
    mixed_by: Annotated[UUID, Ref(Member)] | UnsetType = UNSET
    mixed_where: Text | UnsetType = UNSET
    mix: SomeVolume | UnsetType = UNSET
    how_known: HowKnown | UnsetType = UNSET
    carrier: Carrier | UnsetType = UNSET
    carrier_volume: SomeVolume | None | UnsetType = UNSET
    parts: Annotated[list[Part], Meta(max_length=10)] | UnsetType = UNSET
    adjuvants: Annotated[list[Adjuvant], Meta(max_length=10)] | UnsetType = UNSET
    photos: Files | UnsetType = UNSET
    note: Text | UnsetType = UNSET


class CloseBatch(Target, frozen=True):
    """The end of a batch's account: what was mixed is what was used, left, disposed and lost."""

    closed_at: Moment
