"""What may be sent about lots and stock movements."""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.catalog.models import Product
from stewardship.journal.fields import Amend, Moment, New, Reason, Ref, Text, Volume
from stewardship.treatments.fields.amounts import SomeVolume
from stewardship.treatments.models import Lot
from stewardship.workdays.models import WorkDay

Line = Annotated[str, Meta(max_length=200)]
Number = Annotated[str, Meta(max_length=100)]
Cents = Annotated[int, Meta(ge=0, le=10**10)]
Currency = Annotated[str, Meta(pattern="^[A-Z]{3}$")]
What = Literal["receipt", "return", "transfer", "loss", "spill", "disposal", "count"]


class NewLot(New, frozen=True):
    """A lot of a product: what was received with one purchase."""

    product: Annotated[UUID, Ref(Product)]
    received: SomeVolume
    purchased_on: date | None = None
    container: Line = ""
    cost_cents: Cents | None = None
    currency: Currency | None = None
    lot_number: Number = ""
    label_version: Number = ""
    store: Line = ""
    expires_on: date | None = None
    note: Text = ""


class AmendLot(Amend, frozen=True):
    """A correction of a lot; one of the wrong product is voided and entered anew."""

    received: SomeVolume | UnsetType = UNSET
    purchased_on: date | None | UnsetType = UNSET
    container: Line | UnsetType = UNSET
    cost_cents: Cents | None | UnsetType = UNSET
    currency: Currency | None | UnsetType = UNSET
    lot_number: Number | UnsetType = UNSET
    label_version: Number | UnsetType = UNSET
    store: Line | UnsetType = UNSET
    expires_on: date | None | UnsetType = UNSET
    note: Text | UnsetType = UNSET


class NewStockMovement(New, frozen=True):
    """Product that came, went, was lost or was counted. ``volume``: what moved; of a count, what was found."""

    what: What
    lot: Annotated[UUID, Ref(Lot, lock=True)]
    volume: Volume
    happened_at: Moment
    by: Annotated[UUID, Ref(Member)]
    to_lot: Annotated[UUID, Ref(Lot, lock=True)] | None = None
    manner: Text = ""
    receipt_no: Number = ""
    incident: Text = ""
    reason: Reason = ""
    work_day: Annotated[UUID, Ref(WorkDay)] | None = None
    note: Text = ""
