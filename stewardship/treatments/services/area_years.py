"""The area-year ledger: what the lines of a year used in a unit, and on which days, kept under the unit's lock."""

from collections.abc import Callable, Mapping
from typing import Any

from stewardship.journal.book import Entry
from stewardship.places.models import Unit
from stewardship.rules.area_years import Use, Years, added, taken_out
from stewardship.treatments.models.lines import each_once

Days = dict[str, dict[str, int]]
"""Product (id, as text) -> date -> lines."""
Said = Mapping[str, Any]
"""The columns of an application: of one that stands, or of one that is about to be made or changed."""


def count(entry: Entry, said: Said) -> Unit:
    """Count an application in its unit's year, and return the unit."""
    return _moved(entry, said, added, 1)


def take_out(entry: Entry, said: Said) -> Unit:
    """Take an application out of its unit's year again, as it was counted; return the unit."""
    return _moved(entry, said, taken_out, -1)


def use_of(said: Said) -> Use:
    """Return what an application used, as the ledger counts it."""
    return Use(species=str(said["species_id"]), products=each_once(said["products"]), stems=said["stems"])


def _moved(entry: Entry, said: Said, move: Callable[[Years, int, Use], Years], sign: int) -> Unit:
    """Change the ledger of a line's unit; one that was not foreseen when the entry began is locked here."""
    entry.load(Unit, [said["unit_id"]])
    unit = entry.get(Unit, said["unit_id"])
    use = use_of(said)
    return entry.change(
        unit,
        used_in_years=move(unit.used_in_years, said["on_date"].year, use),
        used_on=days_moved(unit.used_on, said["on_date"].isoformat(), use, sign),
    )


def days_moved(used_on: Days, on: str, use: Use, sign: int) -> Days:
    """Return the days on which products were used, with one line more or less; nothing is left of a day without any."""
    found = dict(used_on)
    for product in use.products:
        days = dict(found.get(product["product"], {}))
        days[on] = days.get(on, 0) + sign
        found[product["product"]] = {day: lines for day, lines in sorted(days.items()) if lines}
    return {product: days for product, days in sorted(found.items()) if days}
