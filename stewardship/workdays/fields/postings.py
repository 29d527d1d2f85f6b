"""What may be sent about signs."""

from typing import Annotated
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.catalog.models import Product
from stewardship.journal.fields import Amend, Moment, New, Ref, Target, Text
from stewardship.places.models import Property, Unit
from stewardship.workdays.models import WorkDay

Units = Annotated[list[Annotated[UUID, Ref(Unit)]], Meta(max_length=200)]
Told = Annotated[str, Meta(min_length=1, max_length=4000, pattern=r"\S")]


class NewPosting(New, frozen=True):
    """A sign that was put up; without ``put_up_by`` one did it oneself."""

    property: Annotated[UUID, Ref(Property)]
    text: Told
    put_up_at: Moment
    work_day: Annotated[UUID, Ref(WorkDay, lock=True)] | None = None
    units: Units = []
    product: Annotated[UUID, Ref(Product)] | None = None
    put_up_by: Annotated[UUID, Ref(Member)] | None = None
    enter_again_at: Moment | None = None
    enter_again_note: Text = ""
    due_down_at: Moment | None = None


class AmendPosting(Amend, frozen=True):
    """A correction of a sign."""

    text: Told | UnsetType = UNSET
    enter_again_at: Moment | None | UnsetType = UNSET
    enter_again_note: Text | UnsetType = UNSET
    due_down_at: Moment | None | UnsetType = UNSET


class TakeDown(Target, kw_only=True, frozen=True):
    """A sign came down; without ``taken_down_by`` one did it oneself."""

    taken_down_at: Moment
    taken_down_by: Annotated[UUID, Ref(Member)] | None = None
