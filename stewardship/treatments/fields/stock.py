"""What may be sent about lots and stock movements."""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID

from msgspec import UNSET, Meta, UnsetType

from stewardship.accounts.models import Member
from stewardship.catalog.models import Product
from stewardship.journal.fields import Amend, Mass, Moment, New, Reason, Ref, Text, Volume
from stewardship.treatments.fields.amounts import SomeMass, SomeVolume
from stewardship.treatments.models import Batch, Leftover, Lot
from stewardship.workdays.models import WorkDay

Line = Annotated[str, Meta(max_length=200)]
Number = Annotated[str, Meta(max_length=100)]
Cents = Annotated[int, Meta(ge=0, le=10**10)]
Currency = Annotated[str, Meta(pattern="^[A-Z]{3}$")]
What = Literal["receipt", "return", "transfer", "loss", "spill", "disposal", "count"]


class NewLot(New, frozen=True):
    """A lot of a product: what was received with one purchase, of a dry product as ``received_mass``."""

    product: Annotated[UUID, Ref(Product)]
    received: SomeVolume | None = None
    received_mass: SomeMass | None = None
    purchased_on: date | None = None
    container: Line = ""
    cost_cents: Cents | None = None
    currency: Currency | None = None
    lot_number: Number = ""
    label_version: Number = ""
    store: Line = ""
    expires_on: date | None = None
    note: Text = ""

    def __post_init__(self) -> None:
        """Refuse a lot of nothing, and one in two measures."""
        if (self.received is None) == (self.received_mass is None):
            raise ValueError("Say how much was received: of a liquid its volume, of a dry product its weight.")


class AmendLot(Amend, frozen=True):
    """A correction of a lot; one of the wrong product is voided and entered anew."""

    received: SomeVolume | UnsetType = UNSET
    received_mass: SomeMass | UnsetType = UNSET
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
    """Product that came, went, was lost or was counted. ``volume``, of a dry lot ``mass``: what moved, or was found.

    It is of a lot, of a batch's mix, or of a leftover: a batch or a leftover and a lot are named together where
    undiluted product goes back.
    """

    what: What
    happened_at: Moment
    by: Annotated[UUID, Ref(Member)]
    volume: Volume | None = None
    mass: Mass | None = None
    lot: Annotated[UUID, Ref(Lot, lock=True)] | None = None
    batch: Annotated[UUID, Ref(Batch, lock=True)] | None = None
    leftover: Annotated[UUID, Ref(Leftover, lock=True)] | None = None
    to_lot: Annotated[UUID, Ref(Lot, lock=True)] | None = None
    manner: Text = ""
    receipt_no: Number = ""
    incident: Text = ""
    reason: Reason = ""
    work_day: Annotated[UUID, Ref(WorkDay)] | None = None
    note: Text = ""

    def __post_init__(self) -> None:
        """Refuse a movement of nothing, without an amount, in two measures, and mix by weight."""
        if not (self.lot or self.batch or self.leftover):
            raise ValueError("Name what it is of: a lot, a batch or a leftover.")
        if (self.volume is None) == (self.mass is None):
            raise ValueError("Say how much it was: the volume of a liquid or a mix, the mass of a dry product.")
        if self.mass and (self.batch or self.leftover):
            raise ValueError("A mix is measured by its volume.")
