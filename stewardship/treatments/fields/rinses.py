"""What may be sent about rinsing."""

from typing import Annotated
from uuid import UUID

from msgspec import Meta

from stewardship.accounts.models import Member
from stewardship.journal.fields import Moment, New, Ref, Text
from stewardship.treatments.fields.amounts import SomeVolume
from stewardship.treatments.models import Batch
from stewardship.workdays.models import WorkDay

Times = Annotated[int, Meta(ge=1, le=100)]


class NewRinse(New, frozen=True):
    """That something was rinsed. Without a volume it was a trace; the water went into a batch or was disposed of."""

    rinsed_at: Moment
    by: Annotated[UUID, Ref(Member)]
    times: Times
    batch: Annotated[UUID, Ref(Batch)] | None = None
    container: Annotated[str, Meta(max_length=200)] = ""
    volume: SomeVolume | None = None
    into_batch: Annotated[UUID, Ref(Batch)] | None = None
    manner: Text = ""
    work_day: Annotated[UUID, Ref(WorkDay, lock=True)] | None = None
    note: Text = ""

    def __post_init__(self) -> None:
        """Refuse a rinse of nothing."""
        if self.batch is None and not self.container.strip():
            raise ValueError("Say what was rinsed: the container, or the batch that was in it.")
