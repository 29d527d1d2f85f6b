from fractions import Fraction
from itertools import combinations
from math import cos, pi, sin
from time import perf_counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stewardship.rules.crossings import (
    BoundaryCrossesItself,
    BoundaryHoleOutside,
    BoundaryPartsOverlap,
    check_outlines,
    side_of,
    turn,
)
from stewardship.rules.refusals import RuleViolation

SQUARE = ((0, 0), (10, 0), (10, 10), (0, 10))


def square(west, south, side):
    return ((west, south), (west + side, south), (west + side, south + side), (west, south + side))


@pytest.mark.parametrize(
    "ring",
    [
        pytest.param(((0, 0), (10, 10), (10, 0), (0, 10)), id="bow tie"),
        pytest.param(((0, 0), (5, 5), (10, 10), (10, 0), (5, 5), (0, 10)), id="bow tie with a corner at the crossing"),
        pytest.param(((0, 0), (10, 0), (10, 10), (5, 0), (0, 10)), id="a corner on its own side"),
        pytest.param(((0, 0), (4, 0), (5, 5), (6, 0), (10, 0), (10, 9), (5, 5), (0, 9)), id="twice at one corner"),
        pytest.param(((0, 0), (10, 0), (15, 0), (10, 0), (10, 10)), id="a spike"),
        pytest.param(((0, 0), (10, 0), (5, 0), (5, 10)), id="back along a side"),
        pytest.param(((0, 0), (5, 0), (10, 0)), id="three points on a line"),
        pytest.param(((0, 0), (10, 0), (10, 5), (2, 5), (2, 0), (1, 0), (1, 9), (0, 9)), id="two sides on one line"),
        pytest.param(((0, 0), (0, 10), (5, 10), (5, 4), (0, 4), (0, 2), (9, 2), (9, 0)), id="two sides on a meridian"),
    ],
)
def test_an_outline_that_meets_itself_is_refused(ring):
    with pytest.raises(BoundaryCrossesItself, match="The boundary crosses itself near latitude") as refusal:
        check_outlines([(ring,)])

    assert (refusal.value.code, refusal.value.where) == ("boundary_crosses_itself", "coordinates")


def test_the_refusal_says_where_the_lines_cross():
    units = 10**7
    bow_tie = ((0, 0), (2 * units, 2 * units), (2 * units, 0), (0, 2 * units))

    with pytest.raises(BoundaryCrossesItself, match=r"near latitude 1\.00000, longitude 1\.00000\."):
        check_outlines([(bow_tie,)])


@pytest.mark.parametrize(
    "polygons",
    [
        pytest.param([(SQUARE,)], id="a square"),
        pytest.param([((*SQUARE[:2], (10, 5), *SQUARE[2:]),)], id="a corner in the middle of a side"),
        pytest.param([(SQUARE, square(2, 2, 3), square(6, 6, 3))], id="two holes"),
        pytest.param([(SQUARE, ((0, 5), (5, 4), (5, 6)))], id="a hole that touches its outline"),
        pytest.param([(SQUARE, ((0, 0), (5, 4), (4, 5)))], id="a hole that touches a corner"),
        pytest.param([(SQUARE, square(2, 2, 3), square(5, 5, 3))], id="two holes that touch"),
        pytest.param([(SQUARE,), (square(10, 10, 5),)], id="two parts that touch at a corner"),
        pytest.param([(SQUARE,), (((10, 5), (15, 4), (15, 6)),)], id="a part that touches a side"),
        pytest.param([(SQUARE, square(2, 2, 6)), (square(3, 3, 2),)], id="an island in a hole"),
        pytest.param([(SQUARE, square(2, 2, 6)), (square(3, 3, 4), square(4, 4, 1))], id="a ring in a hole"),
    ],
)
def test_simple_outlines_pass(polygons):
    check_outlines(polygons)


@pytest.mark.parametrize("hole", [square(20, 20, 2), square(-5, -5, 30), ((10, 5), (15, 4), (15, 6))])
def test_a_hole_outside_its_outline_is_refused(hole):
    with pytest.raises(BoundaryHoleOutside, match="A hole in the boundary lies outside its outline") as refusal:
        check_outlines([(SQUARE, hole)])

    assert refusal.value.code == "boundary_hole_outside"


@pytest.mark.parametrize(
    "polygons",
    [
        pytest.param([(SQUARE,), (square(2, 2, 3),)], id="a part inside a part"),
        pytest.param([(square(2, 2, 3),), (SQUARE,)], id="a part round a part"),
        pytest.param([(SQUARE,), (SQUARE,)], id="the same part twice"),
        pytest.param([(SQUARE,), (square(10, 0, 10),)], id="two parts that share a side"),
        pytest.param([(SQUARE,), (square(10, 2, 4),)], id="two parts that share some of a side"),
        pytest.param([(SQUARE, square(2, 2, 6), square(3, 3, 2))], id="a hole in a hole"),
        pytest.param([(SQUARE, square(3, 3, 2), square(2, 2, 6))], id="a hole round a hole"),
        pytest.param([(SQUARE, ((0, 5), (5, 0), (5, 5)))], id="a hole that touches twice"),
    ],
)
def test_parts_that_overlap_or_share_a_line_are_refused(polygons):
    with pytest.raises(BoundaryPartsOverlap, match="overlap or share a line near") as refusal:
        check_outlines(polygons)

    assert refusal.value.code == "boundary_parts_overlap"


def test_two_parts_that_cross_are_refused():
    with pytest.raises(BoundaryCrossesItself):
        check_outlines([(SQUARE,), (square(5, 5, 10),)])


@pytest.mark.parametrize(
    ("point", "expected"),
    [((5, 5), 1), ((0, 5), 0), ((5, 10), 0), ((10, 10), 0), ((0, 0), 0), ((11, 10), -1), ((-1, 0), -1), ((5, 11), -1)],
)
def test_a_point_lies_inside_on_or_outside_a_ring(point, expected):
    assert side_of(point, SQUARE) == expected


# Oracles of another kind: every pair of sides solved as two linear equations in exact fractions, and convex clipping.


def meeting_points(one, other):
    """Return what two sides share: no point, one, or the two ends of a stretch."""
    (x1, y1), (x2, y2), (x3, y3), (x4, y4) = *one, *other
    denominator = (x2 - x1) * (y4 - y3) - (y2 - y1) * (x4 - x3)
    if denominator:
        along = Fraction((x3 - x1) * (y4 - y3) - (y3 - y1) * (x4 - x3), denominator)
        across = Fraction((x3 - x1) * (y2 - y1) - (y3 - y1) * (x2 - x1), denominator)
        meet = 0 <= along <= 1 and 0 <= across <= 1
        return {(x1 + along * (x2 - x1), y1 + along * (y2 - y1))} if meet else set()
    if (x3 - x1) * (y2 - y1) != (y3 - y1) * (x2 - x1):
        return set()
    low, high = max(min(one), min(other)), min(max(one), max(other))
    return {low, high} if low <= high else set()


def is_simple(ring):
    sides = list(zip(ring, ring[1:] + ring[:1], strict=True))
    return len(set(ring)) == len(ring) and all(
        meeting_points(one, other) <= set(one) & set(other) for one, other in combinations(sides, 2)
    )


def passes(polygons):
    try:
        check_outlines(polygons)
    except RuleViolation:
        return False
    return True


GRID = st.tuples(st.integers(0, 4), st.integers(0, 4))
WIDE = st.tuples(st.integers(-(10**9), 10**9), st.integers(-(10**9), 10**9))


@settings(max_examples=1500, deadline=None)
@given(
    st.lists(GRID, min_size=3, max_size=9, unique=True).map(tuple) | st.lists(GRID, min_size=3, max_size=6).map(tuple)
)
def test_a_ring_on_a_coarse_grid_is_refused_just_when_two_sides_meet(ring):
    assert passes([(ring,)]) == is_simple(ring)


@settings(max_examples=300, deadline=None)
@given(
    reaches=st.lists(st.integers(10**6, 10**9), min_size=5, max_size=40),
    swap=st.tuples(st.integers(0, 39), st.integers(0, 39)),
)
def test_a_star_with_two_corners_swapped_is_refused_just_when_two_sides_meet(reaches, swap):
    angles = [2 * pi * place / len(reaches) for place in range(len(reaches))]
    ring = [
        (round(reach * cos(angle)), round(reach * sin(angle))) for reach, angle in zip(reaches, angles, strict=True)
    ]
    one, other = (place % len(ring) for place in swap)
    ring[one], ring[other] = ring[other], ring[one]

    assert passes([(tuple(ring),)]) == is_simple(tuple(ring))


def counter_clockwise(triangle):
    return triangle if turn(*triangle) > 0 else triangle[::-1]


TRIANGLES = st.lists(GRID, min_size=3, max_size=3).map(tuple).filter(lambda points: turn(*points) != 0)


def clipped(ring, triangle):
    """Cut a convex ring by the three sides of a triangle (I. E. Sutherland and G. W. Hodgman, 1974)."""
    for start, end in zip(triangle, triangle[1:] + triangle[:1], strict=True):
        kept = []
        for before, point in zip(ring[-1:] + ring[:-1], ring, strict=True):
            side_before, side = turn(start, end, before), turn(start, end, point)
            if side_before * side < 0:
                part = Fraction(side_before, side_before - side)
                kept.append(tuple(a + part * (b - a) for a, b in zip(before, point, strict=True)))
            if side >= 0:
                kept.append(point)
        ring = kept
    return set(ring)


@settings(max_examples=1500, deadline=None)
@given(TRIANGLES, TRIANGLES)
def test_two_triangles_pass_just_when_they_share_one_point_at_most(one, other):
    shared = clipped(list(counter_clockwise(one)), counter_clockwise(other))

    assert passes([(one,), (other,)]) == (len(shared) <= 1)


@settings(max_examples=1500, deadline=None)
@given(TRIANGLES, TRIANGLES)
def test_a_triangular_hole_passes_just_when_it_lies_inside_and_touches_once_at_most(outline, hole):
    outline = counter_clockwise(outline)
    sides = [
        min(turn(start, end, point) for start, end in zip(outline, outline[1:] + outline[:1], strict=True))
        for point in hole
    ]

    assert passes([(outline, hole)]) == (min(sides) >= 0 and sides.count(0) <= 1)


@settings(max_examples=500, deadline=None)
@given(TRIANGLES, TRIANGLES, TRIANGLES)
def test_three_triangles_pass_just_when_each_two_do(one, other, third):
    pairs = all(passes([(a,), (b,)]) for a, b in combinations((one, other, third), 2))

    assert passes([(one,), (other,), (third,)]) == pairs


@pytest.mark.parametrize("slope", [0, 1, 3])
def test_a_comb_of_5000_corners_is_searched_in_time(slope):
    """The worst case of a search by bounding boxes: thousands of long sides, side by side."""
    teeth = [(x * 1000 + slope * y, y) for x in range(2499) for y in ((0, 10**9) if x % 2 == 0 else (10**9, 0))]
    east = 2499 * 1000
    comb = (*teeth, (east + slope * 10**9, 10**9), (east - slope, -1))

    begun = perf_counter()
    check_outlines([(comb,)])
    spent_s = perf_counter() - begun

    assert len(comb) == 5000
    assert spent_s < 2
