"""What may be sent about a mix that is planned for a unit."""

from datetime import date
from typing import Annotated
from uuid import UUID

from msgspec import Meta

from stewardship.catalog.mixing.fields import Strength
from stewardship.catalog.models import Product, Species
from stewardship.journal.fields import Closed, New, Ref, Text
from stewardship.places.models import Unit
from stewardship.rules.methods import HerbicideMethod
from stewardship.treatments.fields.amounts import Carrier, SomeMass, SomeVolume, Stems
from stewardship.workdays.models import WorkDay


class PlannedPart(Closed, frozen=True):
    """A product in a planned mix: by its volume (a dry one by mass), or by the strength that the mix is to have."""

    product: Annotated[UUID, Ref(Product)]
    volume: SomeVolume | None = None
    mass: SomeMass | None = None
    strength: Strength | None = None

    def __post_init__(self) -> None:
        """Refuse a part that says none of them, or several."""
        if sum(each is not None for each in (self.volume, self.mass, self.strength)) != 1:
            raise ValueError("Give the volume or mass of the product, or the strength of the mix: one of them.")


class Override(Closed, frozen=True):
    """That a plan stands although stored limits stand in its way, and why; a coordinator says so."""

    reason: Annotated[str, Meta(min_length=1, max_length=1000, pattern=r"\S")]


class NewPlannedMix(New, frozen=True):
    """A mix that is planned for a unit, by itself or for a work day, whose date it then has."""

    unit: Annotated[UUID, Ref(Unit, lock=True)]
    planned_on: date
    method: HerbicideMethod
    carrier: Carrier
    mix: SomeVolume
    parts: Annotated[list[PlannedPart], Meta(min_length=1, max_length=10)]
    work_day: Annotated[UUID, Ref(WorkDay, lock=True)] | None = None
    species: Annotated[UUID, Ref(Species)] | None = None
    stems: Stems | None = None
    override: Override | None = None
    note: Text = ""
