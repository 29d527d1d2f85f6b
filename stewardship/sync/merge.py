"""Merge what somebody wished for with what the server says meanwhile: field by field, without a clock.

Three values a field: ``base``, which the person saw, ``wish``, which they want, and ``server``, which stands now.
Where nobody else changed the field the wish stands; where both want the same there is nothing to do; else the field's
policy decides. Fields of one unit, such as an amount and how it is known, are decided as one: either all that was
wished for of it is taken or none.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from operator import eq
from typing import Any, Literal, NamedTuple

Policy = Literal["settle", "keep_both", "union"]
"""``settle``: a person decides. ``keep_both``: the lines of both texts. ``union``: a list with what either added."""

Values = Mapping[str, Any]
Same = Callable[[str, Any, Any], bool]
"""(name of the field, value, value) -> whether both say the same."""


class Sides(NamedTuple):
    """The three values of a field that changed meanwhile."""

    base: Any
    yours: Any
    server: Any


class Merged(NamedTuple):
    """What is to be changed now, and what a person must settle first."""

    values: dict[str, Any]
    disputed: dict[str, Sides]
    moved: dict[str, Sides]
    """Fields that the server changed since they were seen, and that need nobody's decision."""


def same_value(name: str, one: Any, other: Any) -> bool:
    """Return whether two values of a field are equal as they stand."""
    return bool(eq(one, other))


def merge(
    wish: Values,
    base: Values,
    server: Values,
    *,
    policies: Mapping[str, Policy],
    units: Iterable[Sequence[str]] = (),
    same: Same = same_value,
) -> Merged:
    """Merge a wish. A field without a policy is settled by a person; one without a ``base`` counts as changed."""
    found = Merged({}, {}, {})
    for unit in _units(wish, units):
        asked = [name for name in unit if name in wish]
        if _is_untouched(unit, asked, base, server, same):
            found.values.update({name: wish[name] for name in asked})
            continue
        for name in asked:
            _decide(name, Sides(base.get(name), wish[name], server.get(name)), found, policies, same)
    _keep_units_whole(found, wish, units)
    return found


def _units(wish: Values, units: Iterable[Sequence[str]]) -> list[Sequence[str]]:
    """Return the units that the wish touches; a field of no unit is one by itself."""
    known = [unit for unit in units if any(name in wish for name in unit)]
    bound = {name for unit in known for name in unit}
    return [*known, *([name] for name in wish if name not in bound)]


def _is_untouched(unit: Sequence[str], asked: list[str], base: Values, server: Values, same: Same) -> bool:
    """Return whether nobody changed anything of a unit since it was seen, as far as is known what was seen."""
    seen = [name for name in unit if name in base]
    return set(asked) <= set(seen) and all(same(name, base[name], server.get(name)) for name in seen)


def _decide(name: str, sides: Sides, found: Merged, policies: Mapping[str, Policy], same: Same) -> None:
    policy = policies.get(name, "settle")
    if same(name, sides.yours, sides.server):
        found.moved[name] = sides
    elif policy == "keep_both" and _are(str, sides.yours, sides.server):
        found.moved[name] = sides
        found.values[name] = _lines_of_both(sides)
    elif policy == "union" and _are(list, sides.yours, sides.server):
        found.moved[name] = sides
        found.values[name] = _members_of_both(sides)
    else:
        found.disputed[name] = sides


def _are(kind: type, *values: Any) -> bool:
    return all(isinstance(value, kind) for value in values)


def _lines_of_both(sides: Sides) -> str:
    """Return the server's text with the lines that the person added."""
    seen = sides.base.splitlines() if isinstance(sides.base, str) else []
    there = sides.server.splitlines()
    added = [line for line in dict.fromkeys(sides.yours.splitlines()) if line not in seen and line not in there]
    return "\n".join([*there, *added]) if added else str(sides.server)


def _members_of_both(sides: Sides) -> list[Any]:
    """Return the server's list with what the person added and without what they took out."""
    seen = sides.base if isinstance(sides.base, list) else []
    taken_out = [member for member in seen if member not in sides.yours]
    kept = [member for member in sides.server if member not in taken_out]
    return kept + [member for member in sides.yours if member not in seen and member not in kept]


def _keep_units_whole(found: Merged, wish: Values, units: Iterable[Sequence[str]]) -> None:
    """Dispute everything that was wished for of a unit in which anything is disputed."""
    for unit in units:
        if not any(name in found.disputed for name in unit):
            continue
        for name in unit:
            if name in found.moved:
                found.disputed[name] = found.moved.pop(name)
            found.values.pop(name, None)
