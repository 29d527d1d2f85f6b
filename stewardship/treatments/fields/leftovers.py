"""What may be sent about leftovers."""

from typing import Annotated, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.journal.fields import Amend, Moment, New, Ref, Target, Text
from stewardship.places.models import Property
from stewardship.treatments.fields.amounts import HowKnown, SomeVolume
from stewardship.treatments.models import Batch
from stewardship.workdays.models import WorkDay

Container = Annotated[str, Meta(max_length=200)]


class NewLeftover(New, frozen=True):
    """What is left in one container; without a batch its contents are unknown, and it is kept apart."""

    volume: SomeVolume
    how_known: HowKnown
    measured_at: Moment
    batch: Annotated[UUID, Ref(Batch, lock=True)] | None = None
    container: Container = ""
    kept_where: Text = ""
    property: Annotated[UUID, Ref(Property)] | None = None
    work_day: Annotated[UUID, Ref(WorkDay, lock=True)] | None = None
    note: Text = ""


class AmendLeftover(Amend, frozen=True):
    """A correction of what was measured; another figure at another time is a leftover of its own."""

    volume: SomeVolume | UnsetType = UNSET
    how_known: HowKnown | UnsetType = UNSET
    measured_at: Moment | UnsetType = UNSET
    container: Container | UnsetType = UNSET
    kept_where: Text | UnsetType = UNSET
    note: Text | UnsetType = UNSET


class EndLeftover(Target, frozen=True):
    """That a leftover is no more, or was measured again; disposal, loss and topping up say so themselves."""

    ended_at: Moment
    end: Literal["used", "measured_again"]


class IdentifyLeftover(Target, frozen=True):
    """Of which batch a found container is, and how that is known."""

    batch: Annotated[UUID, Ref(Batch, lock=True)]
    evidence: Annotated[str, Meta(min_length=1, max_length=4000, pattern=r"\S")]
