"""Amounts above nothing, how they are known, and counts."""

from typing import Annotated, Literal

from msgspec import Meta

from stewardship.journal.fields import Area, Mass, Quantity, Volume
from stewardship.rules.shares import AmountNotPositive

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


class SomeMass(Mass, frozen=True):
    """A weight above nothing."""

    def __post_init__(self) -> None:
        """Refuse an amount of nothing, or of less than a microgram."""
        super().__post_init__()
        _check_some(self, "this weight")


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
