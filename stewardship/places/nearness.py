"""Which sensitive areas a unit comes near: what touches it, and water within a distance."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import orjson

from stewardship.places.models import SensitiveArea, Unit
from stewardship.rules.shapes import Shape, distance_mm, read_shape


@dataclass(frozen=True, slots=True)
class Near:
    """A sensitive area and how far it lies from a unit's boundary [mm]; None where the unit is not mapped."""

    area: SensitiveArea
    distance_mm: int | None


def near(areas: Iterable[SensitiveArea], unit: Unit, *, setback_mm: int) -> list[Near]:
    """Return the areas in use that touch the unit, and the water that lies no further than ``setback_mm`` [mm] from it.

    Of a unit without a boundary no distance is known: the areas of its own property are returned without one.
    """
    in_use = [area for area in areas if not area.retired_at]
    if unit.boundary is None:
        return [Near(area, None) for area in in_use if area.property_id == unit.property_id]
    if not in_use:
        return []
    boundary = orjson.dumps(unit.boundary)
    found = []
    for area in in_use:
        within_mm = setback_mm if area.what == SensitiveArea.What.WATER else 0
        distance = _distance_mm(boundary, orjson.dumps(area.geometry), within_mm)
        if distance is not None:
            found.append(Near(area, distance))
    return found


@lru_cache(maxsize=256)
def _distance_mm(boundary: bytes, geometry: bytes, within_mm: int) -> int | None:
    return distance_mm(_shape(boundary), _shape(geometry), within_mm=within_mm)


@lru_cache(maxsize=256)
def _shape(geojson: bytes) -> Shape:
    return read_shape(orjson.loads(geojson))
