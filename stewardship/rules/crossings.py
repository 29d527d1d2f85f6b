"""Outlines that cross themselves or one another, found exactly in whole numbers.

A position is (longitude, latitude) in units of 0.0000001 degree, a ring a tuple of them that does not repeat its first.
Lines between positions are straight on a map of longitude and latitude (RFC 7946, section 3.1.1). What is valid follows
OGC 06-103r4, Simple Feature Access, section 6.1.11 (from memory): a ring meets itself nowhere; two rings may touch at a
point. Stricter than it in one thing: at one point only.

The search is a sweep by M. I. Shamos and D. Hoey, "Geometric intersection problems", 17th Annual Symposium on
Foundations of Computer Science, 1976, pp. 208-215: n log n steps, so that 5,000 positions stay quick.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations, permutations

from stewardship.rules.refusals import RuleViolation

Position = tuple[int, int]
Ring = tuple[Position, ...]
Polygon = tuple[Ring, ...]
UNITS_A_DEGREE = 10**7


class BoundaryCrossesItself(RuleViolation):
    """An outline that crosses, touches or retraces itself, or crosses another."""

    code = "boundary_crosses_itself"
    message = "The boundary crosses itself near {near}. Move or take out a point there."
    where = "coordinates"


class BoundaryHoleOutside(RuleViolation):
    """A hole that does not lie within the outline it belongs to."""

    code = "boundary_hole_outside"
    message = "A hole in the boundary lies outside its outline, near {near}."
    where = "coordinates"


class BoundaryPartsOverlap(RuleViolation):
    """Two outlines that cover the same ground, or meet at more than a point."""

    code = "boundary_parts_overlap"
    message = "Two outlines of the boundary overlap or share a line near {near}. Draw them as one."
    where = "coordinates"


def told(position: Position) -> str:
    """Return a position as words for a person, to about a metre."""
    longitude, latitude = (units / UNITS_A_DEGREE for units in position)
    return f"latitude {latitude:.5f}, longitude {longitude:.5f}"


def turn(start: Position, end: Position, point: Position) -> int:
    """Return > 0 if ``point`` lies left of the line from ``start`` to ``end``, < 0 right of it, 0 on it."""
    return (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (point[0] - start[0])


@dataclass(frozen=True, slots=True, eq=False)
class Edge:
    """One side of a ring, from its western (then southern) end to the other."""

    ring: int
    place: int
    sides: int
    start: Position
    end: Position

    def is_neighbour_of(self, other: "Edge") -> bool:
        """Tell whether both follow each other round one ring."""
        return self.ring == other.ring and (self.place - other.place) % self.sides in (1, self.sides - 1)


def edges_of(number: int, ring: Ring) -> Iterator[Edge]:
    """Yield the sides of ring ``number``."""
    for place, (start, end) in enumerate(zip(ring, ring[1:] + ring[:1], strict=True)):
        yield Edge(number, place, len(ring), min(start, end), max(start, end))


def is_below(one: Edge, other: Edge) -> bool:
    """Tell whether ``one`` runs south of ``other`` where both pass the sweep.

    Raises BoundaryCrossesItself or BoundaryPartsOverlap where they run along each other.
    """
    if one.start >= other.start:
        side = turn(other.start, other.end, one.start) or turn(other.start, other.end, one.end)
    else:
        side = -(turn(one.start, one.end, other.start) or turn(one.start, one.end, other.end))
    if side == 0:
        raise shared_line(one, other)
    return side < 0


def shared_line(one: Edge, other: Edge) -> RuleViolation:
    """Return the refusal of two edges that run along each other."""
    refusal = BoundaryCrossesItself if one.ring == other.ring else BoundaryPartsOverlap
    return refusal(near=told(max(one.start, other.start)))


def part_of_the_way(edge: Edge, part: int, whole: int) -> Position:
    """Return the position ``part`` / ``whole`` of the way along an edge, rounded down."""
    (west, south), (east, north) = edge.start, edge.end
    return west + (east - west) * part // whole, south + (north - south) * part // whole


@dataclass(slots=True)
class Sweep:
    """A line that goes from west to east over all edges; ``status`` holds those it passes, south to north."""

    rings: Sequence[Ring]
    rings_at: dict[Position, list[int]] = field(default_factory=dict)
    touches: dict[tuple[int, int], Position] = field(default_factory=dict)
    status: list[Edge] = field(default_factory=list)

    def run(self) -> None:
        """Go over all edges. Raises BoundaryCrossesItself, BoundaryPartsOverlap."""
        for number, ring in enumerate(self.rings):
            self._read_corners(number, ring)
        edges = [edge for number, ring in enumerate(self.rings) for edge in edges_of(number, ring)]
        begins = [(edge.start, 1, number) for number, edge in enumerate(edges)]
        ends = [(edge.end, 0, number) for number, edge in enumerate(edges)]
        for _, begins_here, number in sorted(begins + ends):
            if begins_here:
                self._enter(edges[number])
            else:
                self._leave(edges[number])

    def _read_corners(self, number: int, ring: Ring) -> None:
        """Note who has a corner where; refuse a ring that comes back to a corner or turns back on its own line."""
        for before, corner, after in zip(ring[-1:] + ring[:-1], ring, ring[1:] + ring[:1], strict=True):
            if turn(before, corner, after) == 0 and not min(before, after) < corner < max(before, after):
                raise BoundaryCrossesItself(near=told(corner))
            here = self.rings_at.setdefault(corner, [])
            self._touch(corner, number, here)
            here.append(number)

    def _touch(self, point: Position, ring: int, others: Sequence[int]) -> None:
        """Note that ``ring`` meets ``others`` at ``point``, which may happen once for any two rings."""
        for other in others:
            if other == ring:
                raise BoundaryCrossesItself(near=told(point))
            pair = (min(ring, other), max(ring, other))
            if self.touches.setdefault(pair, point) != point:
                raise BoundaryPartsOverlap(near=told(point))

    def _enter(self, edge: Edge) -> None:
        place = self._place_of(edge)
        for neighbour in self.status[max(place - 1, 0) : place + 1]:
            self._meet(edge, neighbour)
        self.status.insert(place, edge)

    def _leave(self, edge: Edge) -> None:
        place = self._place_of(edge)
        del self.status[place]
        if 0 < place < len(self.status):
            self._meet(self.status[place - 1], self.status[place])

    def _place_of(self, edge: Edge) -> int:
        low, high = 0, len(self.status)
        while low < high:
            middle = (low + high) // 2
            if self.status[middle] is edge:
                return middle
            if is_below(self.status[middle], edge):
                low = middle + 1
            else:
                high = middle
        return low

    def _meet(self, one: Edge, other: Edge) -> None:
        """Refuse two edges that cross; note a corner of one that lies on the other.

        Edges that run along each other never come here: ``is_below`` refuses them as the second one enters.
        """
        if one.is_neighbour_of(other):
            return
        sides = [turn(one.start, one.end, point) for point in (other.start, other.end)]
        sides += [turn(other.start, other.end, point) for point in (one.start, one.end)]
        if sides[0] * sides[1] < 0 and sides[2] * sides[3] < 0:
            raise BoundaryCrossesItself(near=told(part_of_the_way(other, sides[0], sides[0] - sides[1])))
        corners = (other.start, other.end, one.start, one.end)
        for side, corner, edge in zip(sides, corners, (one, one, other, other), strict=True):
            if side == 0 and edge.start < corner < edge.end:
                self._touch(corner, edge.ring, self.rings_at[corner])


def side_of(point: Position, ring: Ring) -> int:
    """Return 1 if ``point`` lies inside ``ring``, 0 if on it, -1 if outside."""
    inside = False
    for start, end in zip(ring, ring[1:] + ring[:1], strict=True):
        if point == start:
            return 0
        if (start[1] > point[1]) != (end[1] > point[1]):
            side = turn(start, end, point) if end[1] > start[1] else turn(end, start, point)
            if side == 0:
                return 0
            inside ^= side > 0
        elif start[1] == end[1] == point[1] and min(start[0], end[0]) <= point[0] <= max(start[0], end[0]):
            return 0
    return 1 if inside else -1


def lies_within(ring: Ring, other: Ring) -> bool:
    """Tell whether ``ring`` lies inside ``other``, when the two cross nowhere and touch at one point at most."""
    return next((side > 0 for side in (side_of(point, other) for point in ring) if side), False)


def check_outlines(polygons: Sequence[Polygon]) -> None:
    """Refuse outlines that do not bound one area each, holes within them.

    Raises BoundaryCrossesItself, BoundaryHoleOutside, BoundaryPartsOverlap.
    """
    Sweep([ring for polygon in polygons for ring in polygon]).run()
    for outline, *holes in polygons:
        _check_holes(outline, holes)
    for (outline, *holes), (other, *_) in permutations(polygons, 2):
        if lies_within(other, outline) and not any(lies_within(other, hole) for hole in holes):
            raise BoundaryPartsOverlap(near=told(other[0]))


def _check_holes(outline: Ring, holes: Sequence[Ring]) -> None:
    for hole in holes:
        if not lies_within(hole, outline):
            raise BoundaryHoleOutside(near=told(hole[0]))
    for one, other in combinations(holes, 2):
        if lies_within(one, other) or lies_within(other, one):
            raise BoundaryPartsOverlap(near=told(one[0]))
