"""In which measure a product is told: a liquid by volume [nL], a dry one by weight [µg]; nothing adds the two.

What tells an amount is a mapping with ``nl`` or ``ug``: a product in a mix, its share of a line, what is left of it.
"""

from collections.abc import Iterable, Mapping
from typing import Any

MEASURE = {"nl": "volume", "ug": "mass"}
"""Base unit -> the name under which an amount is told."""


def base_of(told: Mapping[str, Any]) -> str:
    """Return the base unit of what is told: ``ug`` of a dry product, else ``nl``."""
    return "ug" if "ug" in told else "nl"


def amount_of(told: Mapping[str, Any]) -> int:
    """Return the amount in its own base unit."""
    amount: int = told[base_of(told)]
    return amount


def amount_in(base: str, nl: int | None, ug: int | None) -> int:
    """Return which of two columns holds an amount, by its base unit; that one is never empty."""
    amount = {"nl": nl, "ug": ug}[base]
    assert amount is not None
    return amount


def volumes_of(several: Iterable[Mapping[str, Any]]) -> list[int]:
    """Return the volumes [nL] among these: a dry product takes no room, as every published mixing table has it."""
    return [told["nl"] for told in several if "nl" in told]
