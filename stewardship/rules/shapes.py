"""Sensitive areas on the map: a point, a line or a polygon, and how far it lies from a unit's boundary.

Positions are read and kept as those of boundaries are (``rules.geometry``). The nearest places are found on a flat map
about the shape, to which the ellipsoid's two radii of curvature there give the scale; between these two places the
geodesic is measured. Only what lies within the distance asked about is measured at all.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import chain, pairwise
from math import cos, hypot, radians, sin, sqrt
from typing import Any

from geographiclib.geodesic import Geodesic

from stewardship.rules.crossings import UNITS_A_DEGREE, Polygon, Position
from stewardship.rules.geometry import (
    Boundary,
    BoundaryTooLarge,
    BoundaryUnreadable,
    canonical,
    read_boundary,
    read_positions,
    written,
)

SHAPES = ("Point", "LineString", "Polygon", "MultiPolygon")
MOST_POSITIONS = 5_000

_A, _E2 = Geodesic.WGS84.a, Geodesic.WGS84.f * (2 - Geodesic.WGS84.f)
Place = tuple[float, float]
Box = tuple[float, float, float, float]
Segment = tuple[Position, Position]


class ShapeUnreadable(BoundaryUnreadable):
    """Something that is no place on a map."""

    code = "shape_unreadable"
    message = f"This place cannot be read: {{lacking}}. Send GeoJSON, one of {', '.join(SHAPES)}."


@dataclass(frozen=True, slots=True)
class Shape:
    """A point (a path of one position), a line, or polygons with their outlines as closed paths."""

    type: str
    paths: tuple[tuple[Position, ...], ...]
    polygons: tuple[Polygon, ...] = ()


def read_shape(sent: object) -> Shape:
    """Read a GeoJSON Point, LineString, Polygon or MultiPolygon whose numbers are int, float or decimal text.

    Raises ShapeUnreadable, BoundaryTooLarge, and what ``read_boundary`` raises.
    """
    if not isinstance(sent, dict) or sent.get("type") not in SHAPES:
        raise ShapeUnreadable(lacking="its type is missing or is none of these", where="type")
    if sent["type"] in ("Polygon", "MultiPolygon"):
        return shape_of(read_boundary(sent))
    coordinates = sent.get("coordinates")
    if not isinstance(coordinates, list | tuple) or not coordinates:
        raise ShapeUnreadable(lacking="its positions are missing", where="coordinates")
    listed = [coordinates] if sent["type"] == "Point" else coordinates
    if len(listed) > MOST_POSITIONS:
        raise BoundaryTooLarge()
    path = read_positions(listed)
    if sent["type"] == "LineString" and len(set(path)) < 2:  # noqa: PLR2004
        raise ShapeUnreadable(lacking="a line needs two different points", where="coordinates")
    return Shape(sent["type"], (path,))


def shape_of(boundary: Boundary) -> Shape:
    """Return a boundary as a shape."""
    kind = "Polygon" if len(boundary.polygons) == 1 else "MultiPolygon"
    return Shape(kind, tuple(ring + ring[:1] for ring in boundary.rings), boundary.polygons)


def canonical_shape(shape: Shape) -> dict[str, Any]:
    """Return the one GeoJSON text of a shape: degrees as decimal text with 7 decimals."""
    if shape.polygons:
        return canonical(Boundary(shape.polygons))
    (path,) = shape.paths
    line = [written(position) for position in path]
    return {"type": shape.type, "coordinates": line[0] if shape.type == "Point" else line}


def distance_mm(one: Shape, other: Shape, *, within_mm: int) -> int | None:
    """Return how far two shapes lie apart [mm]: 0 where they touch or one lies in the other; None beyond ``within_mm``.

    On the WGS 84 ellipsoid: C. F. F. Karney, "Algorithms for geodesics", Journal of Geodesy 87:43-55, 2013.
    """
    scale = _Scale.at(other)
    far_m = within_mm / 1000 + 1
    boxes = [_box(chain.from_iterable(shape.paths)) for shape in (one, other)]
    if _apart(boxes[0], boxes[1], scale, far_m):
        return None
    if _holds(one, other) or _holds(other, one):
        return 0
    ours = [each for each in _segments(one) if not _apart(_box(each), boxes[1], scale, far_m)]
    theirs = [each for each in _segments(other) if not _apart(_box(each), boxes[0], scale, far_m)]
    nearest = min((_nearest(scale, a, b) for a in ours for b in theirs), default=None, key=lambda found: found[0])
    if nearest is None:
        return None
    found = _geodesic_mm(*nearest[1:]) if nearest[0] else 0
    return found if found <= within_mm else None


@dataclass(frozen=True, slots=True)
class _Scale:
    """Metres that a unit of longitude and of latitude are, about one latitude."""

    x: float
    y: float

    @classmethod
    def at(cls, shape: Shape) -> "_Scale":
        west, south, east, north = _box(chain.from_iterable(shape.paths))
        latitude = radians((south + north) / 2 / UNITS_A_DEGREE)
        bulge = 1 - _E2 * sin(latitude) ** 2
        a_unit = radians(1 / UNITS_A_DEGREE)
        return cls(_A / sqrt(bulge) * cos(latitude) * a_unit, _A * (1 - _E2) / bulge**1.5 * a_unit)

    def metres(self, start: Place, end: Place) -> Place:
        return (end[0] - start[0]) * self.x, (end[1] - start[1]) * self.y


def _box(positions: Iterable[Position]) -> Box:
    longitudes, latitudes = zip(*positions, strict=True)
    return min(longitudes), min(latitudes), max(longitudes), max(latitudes)


def _apart(one: Box, other: Box, scale: _Scale, far_m: float) -> bool:
    """Tell whether two boxes lie further apart than this, east to west or north to south."""
    east = max(one[0] - other[2], other[0] - one[2]) * scale.x
    north = max(one[1] - other[3], other[1] - one[3]) * scale.y
    return max(east, north) > far_m * 1.01  # the scale is that of one latitude


def _segments(shape: Shape) -> Iterator[Segment]:
    for path in shape.paths:
        if len(path) == 1:
            yield path[0], path[0]
        yield from pairwise(path)


def _holds(shape: Shape, other: Shape) -> bool:
    """Tell whether a polygon of ``shape`` has a place of the other within it."""
    return any(_inside(path[0], polygon) for polygon in shape.polygons for path in other.paths)


def _inside(point: Position, polygon: Polygon) -> bool:
    """Tell whether a point lies inside an outline and in none of its holes: crossings to the east of it are odd."""
    crossings = 0
    for ring in polygon:
        for start, end in zip(ring, ring[1:] + ring[:1], strict=True):
            if (start[1] > point[1]) != (end[1] > point[1]):
                east = start[0] + Fraction(point[1] - start[1], end[1] - start[1]) * (end[0] - start[0])
                crossings += east > point[0]
    return crossings % 2 == 1


def _nearest(scale: _Scale, one: Segment, other: Segment) -> tuple[float, Place, Place]:
    """Return how far two segments lie apart [m, on the flat map] and the two nearest places, 0 where they cross."""
    if _cross(one, other):
        return 0.0, one[0], one[0]
    ends = [
        *((point, _foot(scale, point, other)) for point in one),
        *((_foot(scale, point, one), point) for point in other),
    ]
    return min((hypot(*scale.metres(*pair)), *pair) for pair in ends)


def _foot(scale: _Scale, point: Place, segment: Segment) -> Place:
    """Return the place on a segment that is nearest to a point, on the flat map."""
    start, end = segment
    along, away = scale.metres(start, end), scale.metres(start, point)
    length = along[0] ** 2 + along[1] ** 2
    share = 0.0 if not length else max(0.0, min(1.0, (along[0] * away[0] + along[1] * away[1]) / length))
    return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


def _cross(one: Segment, other: Segment) -> bool:
    """Tell whether two segments cross between their ends, in whole numbers."""
    sides = [_side(*one, point) * _side(*one, after) for point, after in [other]]
    sides += [_side(*other, point) * _side(*other, after) for point, after in [one]]
    return all(side < 0 for side in sides)


def _side(start: Position, end: Position, point: Position) -> int:
    turned = (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (point[0] - start[0])
    return (turned > 0) - (turned < 0)


def _geodesic_mm(one: Place, other: Place) -> int:
    (lon, lat), (lon_2, lat_2) = ([units / UNITS_A_DEGREE for units in place] for place in (one, other))
    return round(Fraction(Geodesic.WGS84.Inverse(lat, lon, lat_2, lon_2, Geodesic.DISTANCE)["s12"]) * 1000)
