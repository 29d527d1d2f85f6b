"""The area-year ledger: what the lines of a year used in a unit, kept under the unit's lock."""

from collections.abc import Callable, Mapping
from typing import Any

from stewardship.journal.book import Entry
from stewardship.places.models import Unit
from stewardship.rules.area_years import Use, Years, added, taken_out
from stewardship.treatments.models.lines import each_once

Said = Mapping[str, Any]
"""The columns of an application: of one that stands, or of one that is about to be made or changed."""


def count(entry: Entry, said: Said) -> Unit:
    """Count an application in its unit's year, and return the unit."""
    return _moved(entry, said, added)


def take_out(entry: Entry, said: Said) -> Unit:
    """Take an application out of its unit's year again, as it was counted; return the unit."""
    return _moved(entry, said, taken_out)


def use_of(said: Said) -> Use:
    """Return what an application used, as the ledger counts it."""
    return Use(species=str(said["species_id"]), products=each_once(said["products"]), stems=said["stems"])


def _moved(entry: Entry, said: Said, move: Callable[[Years, int, Use], Years]) -> Unit:
    """Change the ledger of a line's unit; one that was not foreseen when the entry began is locked here."""
    entry.load(Unit, [said["unit_id"]])
    unit = entry.get(Unit, said["unit_id"])
    return entry.change(unit, used_in_years=move(unit.used_in_years, said["on_date"].year, use_of(said)))
