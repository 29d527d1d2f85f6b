"""What may be sent about sessions."""

from typing import Annotated
from uuid import UUID

from msgspec import UNSET, UnsetType

from stewardship.accounts.models import Member
from stewardship.journal.fields import Amend, Moment, New, Ref, Target, Text
from stewardship.places.models import Unit
from stewardship.workdays.models import WorkDay


class NewSession(New, frozen=True):
    """A treatment session by one applicator in one unit, which is locked: lines of the same push count in it."""

    unit: Annotated[UUID, Ref(Unit, lock=True)]
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
