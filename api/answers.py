"""A record as it is answered: what it says, what follows from it, and amounts in the group's own units."""

from collections.abc import Callable
from typing import Any

from stewardship.accounts.models import Group
from stewardship.journal import contents
from stewardship.journal.models import Record
from stewardship.rules import units
from stewardship.rules.shapes import SHAPES

UNIT_OF = {"nl": "volume_unit", "ug": "mass_unit", "mm2": "area_unit"}
"""Base unit -> the group's setting that says in which unit it is shown."""


def answer(record: Record, group: Group, content: dict[str, Any] | None = None) -> dict[str, Any]:
    """Return a record for its readers; ``content`` where an earlier revision is meant."""
    said = dict(record.content() if content is None else content)
    warnings = said.pop("marks", None)
    values = vars(record)
    derived = {name: tell(values) for name, tell in contents.plan_derived(type(record))}
    derived |= {name: getattr(record, name) for name in record.follows}
    return {
        "id": str(record.id),
        "rev": record.rev,
        "entered_by": str(record.entered_by_id),
        "entered_at": contents.instant(record.entered_at),
        **told(said | derived, group),
    } | ({"warnings": warnings} if warnings else {})


def told(said: dict[str, Any], group: Group) -> dict[str, Any]:
    """Return what a record says, with amounts in the group's units too and boundaries in numbers."""
    made = {}
    for name, value in said.items():
        stem, _, base = name.rpartition("_")
        if isinstance(value, list):
            made[name] = [told(item, group) if isinstance(item, dict) else item for item in value]
        elif isinstance(value, dict):
            made[name] = _with_shown(value, group) if "unit" in value else with_numbers(value)
        elif isinstance(value, int) and base in UNIT_OF and stem not in said:
            made |= {name: value, stem or "shown": shown(value, base, group)}
        else:
            made[name] = value
    return made


def shown(amount: int, base: str, group: Group) -> dict[str, str]:
    """Return an integer of a base unit as a value in the group's unit, rounded for the eye."""
    unit = getattr(group, UNIT_OF[base])
    return {"value": units.shown(amount, unit), "unit": unit}


def _with_shown(quantity: dict[str, Any], group: Group) -> dict[str, Any]:
    base = next((base for base in UNIT_OF if isinstance(quantity.get(base), int)), None)
    return quantity | {"shown": shown(quantity[base], base, group)} if base else quantity


def with_numbers(value: dict[str, Any]) -> dict[str, Any]:
    """Return GeoJSON with numbers; anything else as it is. The record keeps coordinates as decimal text."""
    if value.get("type") not in SHAPES:
        return value
    return value | {"coordinates": _each(float, value["coordinates"])}


def _each(make: Callable[[Any], Any], value: Any) -> Any:
    return [_each(make, item) for item in value] if isinstance(value, list) else make(value)
