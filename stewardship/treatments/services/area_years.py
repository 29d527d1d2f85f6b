"""The area-year ledger: what the lines of a year used in a unit, kept under the unit's lock."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from stewardship.journal.book import Entry
from stewardship.places.models import Unit
from stewardship.rules.area_years import Use, Years, added, taken_out
from stewardship.treatments.models import Application


def count(entry: Entry, line: Application) -> Unit:
    """Count a line in its unit's year, and return the unit."""
    return _moved(entry, line, added)


def take_out(entry: Entry, line: Application) -> Unit:
    """Take a line out of its unit's year again, as it was counted; return the unit."""
    return _moved(entry, line, taken_out)


@contextmanager
def counted_anew(entry: Entry, line: Application) -> Iterator[None]:
    """Count a line as it stands after what is done inside; a voided one counts nowhere, before and after."""
    if not line.voided_at:
        take_out(entry, line)
    yield
    if not line.voided_at:
        count(entry, line)


def use_of(line: Application) -> Use:
    """Return what a line used, as the ledger counts it."""
    return Use(species=str(line.species_id), products=line.products_used(), stems=line.stems)


def _moved(entry: Entry, line: Application, move: Callable[[Years, int, Use], Years]) -> Unit:
    """Change the ledger of a line's unit; one that was not foreseen when the entry began is locked here."""
    entry.load(Unit, [line.unit_id])
    unit = entry.get(Unit, line.unit_id)
    return entry.change(unit, used_in_years=move(unit.used_in_years, line.on_date.year, use_of(line)))
