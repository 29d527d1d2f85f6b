"""Boundaries of properties and management units: read from GeoJSON, kept exactly.

A boundary is a Polygon or MultiPolygon of RFC 7946, on WGS 84, longitude first. Its positions are rounded once, half to
even, to 0.0000001 degree (about 1 cm), and are whole numbers of that unit from then on, so that the same boundary has
the same text and the same area however it was drawn.
"""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from itertools import chain, pairwise
from math import isfinite

from stewardship.rules.crossings import UNITS_A_DEGREE, Polygon, Position, Ring, check_outlines
from stewardship.rules.refusals import RuleViolation

MAX_VERTICES = 5_000
MAX_RINGS = 200
MAX_NUMBER_LENGTH = 40
ONE_UNIT = Decimal(1) / UNITS_A_DEGREE
LONGITUDE_LIMIT, LATITUDE_LIMIT = 180, 90
_NUMBER = re.compile(r"-?[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]{1,3})?")


class BoundaryUnreadable(RuleViolation):
    """Something that is not a polygon of GeoJSON."""

    code = "boundary_unreadable"
    message = "The boundary cannot be read: {lacking}."
    where = "coordinates"


class BoundaryTooLarge(RuleViolation):
    """More positions or rings than a boundary may have."""

    code = "boundary_too_large"
    message = f"A boundary may have {MAX_VERTICES:,} points and {MAX_RINGS} outlines at most. Draw it more simply."
    where = "coordinates"


class BoundaryNotClosed(RuleViolation):
    """A ring whose last position is not its first."""

    code = "boundary_not_closed"
    message = "An outline of the boundary does not end where it begins."


class BoundaryOutOfRange(RuleViolation):
    """A position that is not on the globe."""

    code = "boundary_out_of_range"
    message = "Longitude runs from -180 to 180 and latitude from -90 to 90, longitude first; this point lies beyond."


class BoundaryNotANumber(RuleViolation):
    """A coordinate that is not a number."""

    code = "boundary_not_a_number"
    message = "A longitude or latitude of the boundary is not a number."


class BoundaryCrsRefused(RuleViolation):
    """A coordinate system of its own, which RFC 7946, section 4, took out of GeoJSON."""

    code = "boundary_crs_refused"
    message = "The boundary names a coordinate system (crs). Send longitude and latitude on WGS 84, without one."
    where = "crs"


class BoundaryCrossesAntimeridian(RuleViolation):
    """A ring across the 180 degree meridian, which RFC 7946, section 3.1.9, wants cut there."""

    code = "boundary_crosses_antimeridian"
    message = "The boundary crosses the 180 degree meridian or half the globe. Cut it into parts at that meridian."


@dataclass(frozen=True, slots=True)
class Boundary:
    """Polygons in a fixed order, each its outline and then its holes; see ``read_boundary``.

    Positions are (longitude, latitude) in 0.0000001 degree. A ring does not repeat its first position, which is its
    western (then southern) one; an outline runs counter-clockwise and a hole clockwise (RFC 7946, section 3.1.6).
    """

    polygons: tuple[Polygon, ...]

    @property
    def rings(self) -> tuple[Ring, ...]:
        """Return all outlines and holes."""
        return tuple(chain.from_iterable(self.polygons))


def read_boundary(sent: object) -> Boundary:
    """Read a GeoJSON Polygon or MultiPolygon whose numbers are int, float or decimal text.

    A height is dropped, and so is a position that repeats the one before it. Raises BoundaryUnreadable,
    BoundaryTooLarge, BoundaryNotClosed, BoundaryOutOfRange, BoundaryNotANumber, BoundaryCrsRefused,
    BoundaryCrossesAntimeridian, and those of ``check_outlines``.
    """
    nested = _polygons(sent)
    _check_size(nested)
    polygons = tuple(sorted(_read_polygon(rings, where) for where, rings in nested))
    check_outlines(polygons)
    return Boundary(polygons)


def _polygons(sent: object) -> list[tuple[str, list[object]]]:
    """Return the lists of rings, each with its place in what was sent; of too many, one more than are taken."""
    if not isinstance(sent, dict):
        raise BoundaryUnreadable(lacking="it is not a GeoJSON object")
    if "crs" in sent:
        raise BoundaryCrsRefused()
    coordinates = sent.get("coordinates")
    if sent.get("type") == "Polygon":
        return [("coordinates", _filled(coordinates, "coordinates"))]
    if sent.get("type") == "MultiPolygon":
        return [
            (f"coordinates.{number}", _filled(rings, f"coordinates.{number}"))
            for number, rings in enumerate(_filled(coordinates)[: MAX_RINGS + 1])
        ]
    raise BoundaryUnreadable(lacking="its type is neither Polygon nor MultiPolygon", where="type")


def _filled(sent: object, where: str = "coordinates") -> list[object]:
    if not isinstance(sent, list | tuple) or not sent:
        raise BoundaryUnreadable(lacking="a list of positions is missing, or empty", where=where)
    return list(sent)


def _check_size(nested: Sequence[tuple[str, Sequence[object]]]) -> None:
    """Refuse before any number is read. A ring's last position, which repeats its first, does not count."""
    if sum(len(rings) for _, rings in nested) > MAX_RINGS:
        raise BoundaryTooLarge()
    if sum(len(_filled(ring, where)) - 1 for where, rings in nested for ring in rings) > MAX_VERTICES:
        raise BoundaryTooLarge()


def _read_polygon(rings: Iterable[object], where: str) -> Polygon:
    outline, *holes = [_read_ring(ring, f"{where}.{number}") for number, ring in enumerate(rings)]
    return (_wound(outline, 1), *sorted(_wound(hole, -1) for hole in holes))


def read_positions(sent: Iterable[object]) -> tuple[Position, ...]:
    """Read GeoJSON positions as whole numbers of the unit. Raises as ``read_boundary`` does."""
    return tuple(_read_position(each, f"coordinates.{number}") for number, each in enumerate(sent))


def written(position: Position) -> list[str]:
    """Return a position as GeoJSON with decimal text, as it is kept."""
    return [_decimal_text(units) for units in position]


def _read_ring(sent: object, where: str) -> Ring:
    positions = [_read_position(each, f"{where}.{number}") for number, each in enumerate(_filled(sent, where))]
    if positions[0] != positions[-1]:
        raise BoundaryNotClosed(where=where)
    ring = tuple(position for position, following in pairwise(positions) if position != following)
    if len(ring) < len("abc"):
        raise BoundaryUnreadable(lacking="an outline needs three different points", where=where)
    longitudes = [longitude for longitude, _ in ring]
    if max(longitudes) - min(longitudes) >= LONGITUDE_LIMIT * UNITS_A_DEGREE:
        raise BoundaryCrossesAntimeridian(where=where)
    return ring


def _read_position(sent: object, where: str) -> Position:
    numbers = _filled(sent, where)
    if len(numbers) not in (2, 3):
        raise BoundaryUnreadable(lacking="a position is a longitude and a latitude", where=where)
    longitude, latitude, *_ = [_degrees(number, where) for number in numbers]
    if abs(longitude) > LONGITUDE_LIMIT or abs(latitude) > LATITUDE_LIMIT:
        raise BoundaryOutOfRange(where=where)
    return _units(longitude), _units(latitude)


def _degrees(sent: object, where: str) -> Decimal:
    """Return a number as it was written: a float as its shortest text."""
    if isinstance(sent, str) and len(sent) <= MAX_NUMBER_LENGTH and _NUMBER.fullmatch(sent):
        return Decimal(sent)
    if isinstance(sent, float) and isfinite(sent):
        return Decimal(repr(sent))
    if isinstance(sent, int) and not isinstance(sent, bool):
        return Decimal(sent)
    raise BoundaryNotANumber(where=where)


def _units(degrees: Decimal) -> int:
    return int(degrees.quantize(ONE_UNIT, ROUND_HALF_EVEN) * UNITS_A_DEGREE)


def _wound(ring: Ring, sense: int) -> Ring:
    """Return ``ring`` from its least position on, counter-clockwise if ``sense`` is 1, clockwise if -1."""
    if twice_planar_area(ring) * sense < 0:
        ring = ring[::-1]
    first = ring.index(min(ring))
    return ring[first:] + ring[:first]


def twice_planar_area(ring: Ring) -> int:
    """Return twice the area on a flat map, in squared units of position; positive counter-clockwise (shoelace)."""
    sides = zip(ring, ring[1:] + ring[:1], strict=True)
    return sum(start[0] * end[1] - end[0] * start[1] for start, end in sides)


def canonical(boundary: Boundary) -> dict[str, object]:
    """Return the one GeoJSON text of a boundary: degrees as decimal text with 7 decimals."""
    return _geojson(boundary, _decimal_text)


def as_geojson(boundary: Boundary) -> dict[str, object]:
    """Return GeoJSON with numbers in degrees, as maps take it."""
    return _geojson(boundary, _float_degrees)


def _decimal_text(units: int) -> str:
    degrees, rest = divmod(abs(units), UNITS_A_DEGREE)
    return f"{'-' if units < 0 else ''}{degrees}.{rest:07d}"


def _float_degrees(units: int) -> float:
    return units / UNITS_A_DEGREE


def _geojson(boundary: Boundary, write: Callable[[int], object]) -> dict[str, object]:
    polygons = [
        [[[write(longitude), write(latitude)] for longitude, latitude in ring + ring[:1]] for ring in polygon]
        for polygon in boundary.polygons
    ]
    if len(polygons) == 1:
        return {"type": "Polygon", "coordinates": polygons[0]}
    return {"type": "MultiPolygon", "coordinates": polygons}
