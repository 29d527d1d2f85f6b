from fractions import Fraction
from math import asinh, atanh, pi, radians, sin, sqrt, tan

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from stewardship.rules.areas import area_mm2, measure_ring, perimeter_mm, representative_point
from stewardship.rules.crossings import UNITS_A_DEGREE, side_of
from stewardship.rules.geometry import read_boundary
from tests.published import published, within_print

ACRE_M2 = Fraction("4046.8564224")
ELLIPSOID_M2 = 510065621724088.5093  # GeographicLib, Planimeter15
FLATTENING, EQUATOR_RADIUS_M = 1 / 298.257223563, 6378137.0  # WGS 84
POLAR_RADIUS_M = EQUATOR_RADIUS_M * (1 - FLATTENING)
ECCENTRICITY = sqrt(FLATTENING * (2 - FLATTENING))


def polygon(*rings):
    return {"type": "Polygon", "coordinates": [[*map(list, ring), list(ring[0])] for ring in rings]}


def box(west, south, side):
    west, south, side = (Fraction(str(edge)) for edge in (west, south, side))
    west, south, east, north = (float(edge) for edge in (west, south, west + side, south + side))
    return [(west, south), (east, south), (east, north), (west, north)]


def positions(row):
    return [tuple(map(float, position.split())) for position in row["positions"].split(";") if position]


PLANIMETER = published("geographiclib_planimeter")
BOXES = published("geodesic_boxes")


@pytest.mark.parametrize("row", PLANIMETER, ids=str)
def test_a_ring_has_the_area_that_geographiclib_publishes(row):
    assert measure_ring(positions(row)).area_m2 == pytest.approx(
        float(row["area_m2"]), rel=0, abs=float(row["area_within_m2"])
    )


@pytest.mark.parametrize("row", [row for row in PLANIMETER if row["perimeter_m"]], ids=str)
def test_a_ring_has_the_perimeter_that_geographiclib_publishes(row):
    assert measure_ring(positions(row)).perimeter_m == pytest.approx(
        float(row["perimeter_m"]), rel=0, abs=float(row["perimeter_within_m"])
    )


@pytest.mark.parametrize("row", PLANIMETER, ids=str)
def test_a_ring_drawn_the_other_way_has_the_same_area_negative(row):
    assert measure_ring(reversed(positions(row))).area_m2 == pytest.approx(
        -float(row["area_m2"]), rel=0, abs=float(row["area_within_m2"])
    )


@pytest.mark.parametrize("row", published("geographiclib_box_by_edges"), ids=str)
def test_a_box_walked_by_its_sides_has_the_published_area(row):
    corners = [(0.0, 0.0)]
    for azimuth in (90, 0, -90):
        end = Geodesic.WGS84.Direct(*corners[-1], azimuth, float(row["side_m"]))
        corners.append((end["lat2"], end["lon2"]))

    assert measure_ring(corners).area_m2 == pytest.approx(
        float(row["area_m2"]), rel=0, abs=float(row["area_within_m2"])
    )


@pytest.mark.parametrize("row", BOXES, ids=str)
def test_a_box_has_the_computed_area(row):
    boundary = read_boundary(polygon(box(row["longitude"], row["latitude"], row["side_degrees"])))

    area_m2 = Fraction(area_mm2(boundary), 10**6)

    assert within_print(area_m2, row["area_m2"])
    assert not row["acres"] or within_print(area_m2 / ACRE_M2, row["acres"])


# A second way, without geodesic areas: the authalic formula, J. P. Snyder, "Map Projections: A Working Manual",
# US Geological Survey Professional Paper 1395, 1987, equation 3-12 (from memory). On the cylindrical equal-area
# projection a side is cut into short pieces of its geodesic, and the area is that of the flat polygon.


def authalic_height_m2(latitude):
    """Return the area between the equator and ``latitude`` per radian of longitude."""
    sine = sin(radians(latitude))
    bracket = sine / (1 - (ECCENTRICITY * sine) ** 2) + atanh(ECCENTRICITY * sine) / ECCENTRICITY
    return POLAR_RADIUS_M**2 * bracket / 2


def test_the_authalic_formula_gives_the_published_area_of_the_ellipsoid():
    assert 4 * pi * authalic_height_m2(90) == pytest.approx(ELLIPSOID_M2, rel=1e-14)


@pytest.mark.parametrize("row", BOXES, ids=str)
def test_a_box_has_the_area_between_its_parallels(row):
    """A side along a parallel departs from the geodesic alike in north and south: under a millionth here."""
    south, side = float(row["latitude"]), float(row["side_degrees"])

    authalic_m2 = radians(side) * (authalic_height_m2(south + side) - authalic_height_m2(south))

    assert authalic_m2 == pytest.approx(float(row["area_m2"].replace(",", "")), rel=1e-6)


def pieces(start, end, count):
    line = Geodesic.WGS84.InverseLine(start[1], start[0], end[1], end[0])
    for number in range(count):
        place = line.Position(line.s13 * number / count)
        yield radians(place["lon2"] - start[0]) + radians(start[0]), authalic_height_m2(place["lat2"])


def authalic_area_m2(ring, count=32):
    sides = zip(ring, [*ring[1:], ring[0]], strict=True)
    flat = [piece for start, end in sides for piece in pieces(start, end, count)]
    (lon0, height0) = flat[0]
    flat = [(lon - lon0, height - height0) for lon, height in flat]
    around = zip(flat, [*flat[1:], flat[0]], strict=True)
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in around)) / 2


@st.composite
def stars(draw):
    """Draw a ring round a point: corners in order of bearing, between 10 % and 100 % of about a kilometre away."""
    west, south = draw(st.integers(-1700, 1700)) / 10, draw(st.integers(-600, 600)) / 10
    number = draw(st.integers(3, 12))
    reaches = draw(st.lists(st.integers(10, 100), min_size=number, max_size=number))
    turns = [2 * pi * place / number for place in range(number)]
    return [
        (round(west + reach / 1e4 * sin(angle + pi / 2), 7), round(south + reach / 1e4 * sin(angle), 7))
        for reach, angle in zip(reaches, turns, strict=True)
    ]


@settings(max_examples=60, deadline=None)
@given(stars())
def test_an_area_agrees_with_the_authalic_formula(ring):
    area_m2 = area_mm2(read_boundary(polygon(ring))) / 1e6

    assert area_m2 == pytest.approx(authalic_area_m2(ring), rel=1e-6, abs=0.01)


@pytest.mark.parametrize("row", published("geodesic_short_cuts"), ids=str)
def test_short_cuts_are_as_wrong_as_computed(row):
    (west, south), _, (east, north), _ = box("-88", "42", "0.001")
    radius_m = float(row["radius_m"])
    if row["short_cut"] == "sphere":
        short_m2 = radius_m**2 * radians(east - west) * (sin(radians(north)) - sin(radians(south)))
    else:
        short_m2 = radius_m**2 * radians(east - west) * (asinh(tan(radians(north))) - asinh(tan(radians(south))))

    factor = Fraction(short_m2) / Fraction(area_mm2(read_boundary(polygon(box("-88", "42", "0.001")))), 10**6)

    if row["error_pct"]:
        assert within_print((factor - 1) * 100, row["error_pct"])
    else:
        assert within_print(factor, row["factor"])


@settings(max_examples=40, deadline=None)
@given(ring=stars(), first=st.integers(0, 11), is_reversed=st.booleans())
def test_neither_the_first_corner_nor_the_sense_of_drawing_changes_the_area(ring, first, is_reversed):
    turned = ring[first % len(ring) :] + ring[: first % len(ring)]
    turned = turned[::-1] if is_reversed else turned
    one, other = read_boundary(polygon(ring)), read_boundary(polygon(turned))

    assert (area_mm2(one), perimeter_mm(one)) == (area_mm2(other), perimeter_mm(other))


@settings(max_examples=40, deadline=None)
@given(ring=stars())
def test_a_hole_takes_away_exactly_its_own_area(ring):
    west, south = min(lon for lon, _ in ring) - 0.01, min(lat for _, lat in ring) - 0.01
    outline = box(west, south, 0.05)

    with_hole = area_mm2(read_boundary(polygon(outline, ring)))

    assert with_hole == area_mm2(read_boundary(polygon(outline))) - area_mm2(read_boundary(polygon(ring)))


def test_the_areas_of_parts_add_up_exactly():
    parts = [box(-88, 42, 0.001), box(-87.5, 42, 0.002)]
    together = {"type": "MultiPolygon", "coordinates": [polygon(part)["coordinates"] for part in parts]}

    assert area_mm2(read_boundary(together)) == sum(area_mm2(read_boundary(polygon(part))) for part in parts)


def test_a_perimeter_counts_the_outline_and_its_holes():
    outline, hole = box(-88, 42, 0.01), box(-87.998, 42.002, 0.001)

    whole = perimeter_mm(read_boundary(polygon(outline, hole)))

    assert whole == sum(perimeter_mm(read_boundary(polygon(ring))) for ring in (outline, hole))


def is_inside(point, boundary):
    """Blow everything up to whole numbers, so that the point is tried exactly."""
    scale = (point[0] * UNITS_A_DEGREE).denominator * (point[1] * UNITS_A_DEGREE).denominator
    spot = tuple(int(degrees * UNITS_A_DEGREE * scale) for degrees in point)
    blown_up = [[tuple((lon * scale, lat * scale) for lon, lat in ring) for ring in part] for part in boundary.polygons]
    return any(
        side_of(spot, outline) == 1 and all(side_of(spot, hole) == -1 for hole in holes) for outline, *holes in blown_up
    )


@settings(max_examples=100, deadline=None)
@given(stars())
def test_the_representative_point_lies_inside(ring):
    boundary = read_boundary(polygon(ring))

    assert is_inside(representative_point(boundary), boundary)


def test_the_representative_point_stands_beside_a_hole_in_the_middle():
    boundary = read_boundary(polygon(box(-88, 42, 0.01), box(-87.998, 42.001, 0.007)))

    assert is_inside(representative_point(boundary), boundary)


def test_the_representative_point_stands_in_the_largest_part():
    small, large = box(-88, 42, 0.001), box(-87, 42, 0.01)
    parts = {"type": "MultiPolygon", "coordinates": [polygon(ring)["coordinates"] for ring in (small, large)]}

    longitude, latitude = representative_point(read_boundary(parts))

    assert (float(longitude), float(latitude)) == (-86.995, 42.005)
