"""What may be sent about batches."""

from typing import Annotated
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.catalog.models import Product
from stewardship.journal.fields import Amend, Closed, Moment, Name, New, Ref, Text
from stewardship.treatments.fields.amounts import Carrier, HowKnown, SomeVolume
from stewardship.workdays.models import WorkDay


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
