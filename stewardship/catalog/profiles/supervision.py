"""How many people one licence holder may supervise, as the rules of a place state it."""

from collections.abc import Iterable
from datetime import date
from typing import NamedTuple

from stewardship.catalog.models import RuleProfile
from stewardship.catalog.profiles.rows import profile_of
from stewardship.rules.profiles import applying


class Ratio(NamedTuple):
    """The most people that one licence holder may supervise, and who says so."""

    most: int
    name: str
    source: str


def ratio_in(rows: Iterable[RuleProfile], jurisdiction: str, on: date) -> Ratio | None:
    """Return the strictest ratio that the rules of a place state for a date; None where none states one."""
    profiles = applying([profile_of(row) for row in rows if not row.retired_at], jurisdiction, on, {})
    found = [Ratio(p.supervised_per_licensed, p.name, p.source) for p in profiles if p.supervised_per_licensed]
    return min(found, default=None)
