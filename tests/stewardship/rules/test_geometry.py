import json
import math
from fractions import Fraction
from time import perf_counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stewardship.rules.geometry import (
    MAX_RINGS,
    MAX_VERTICES,
    Boundary,
    BoundaryCrossesAntimeridian,
    BoundaryCrsRefused,
    BoundaryNotANumber,
    BoundaryNotClosed,
    BoundaryOutOfRange,
    BoundaryTooLarge,
    BoundaryUnreadable,
    as_geojson,
    canonical,
    read_boundary,
)
from stewardship.rules.refusals import RuleViolation

RING = [[-88, 42], [-87.99, 42], [-87.99, 42.01], [-88, 42.01], [-88, 42]]
HOLE = [[-87.998, 42.002], [-87.998, 42.004], [-87.996, 42.004], [-87.998, 42.002]]
FAR = [[-80, 42], [-79.99, 42], [-79.99, 42.01], [-80, 42]]


def polygon(*rings):
    return {"type": "Polygon", "coordinates": list(rings)}


def multi(*polygons):
    return {"type": "MultiPolygon", "coordinates": list(polygons)}


def refused(sent):
    with pytest.raises(RuleViolation) as refusal:
        read_boundary(sent)
    return type(refusal.value), refusal.value.where


def round_ring(corners, radius=0.01):
    turns = [2 * math.pi * place / corners for place in range(corners)]
    ring = [[-88 + radius * math.cos(angle), 42 + radius * math.sin(angle)] for angle in turns]
    return [*ring, ring[0]]


def test_a_polygon_is_read_in_whole_units_of_a_ten_millionth_of_a_degree():
    assert read_boundary(polygon(RING)) == Boundary(
        ((((-880000000, 420000000), (-879900000, 420000000), (-879900000, 420100000), (-880000000, 420100000)),),)
    )


def test_the_canonical_text_has_seven_decimals_and_longitude_first():
    assert canonical(read_boundary(polygon([[0, -0.5], [1, -0.5], [1, 0.00000005], [0, -0.5]])))["coordinates"] == [
        [
            ["0.0000000", "-0.5000000"],
            ["1.0000000", "-0.5000000"],
            ["1.0000000", "0.0000000"],
            ["0.0000000", "-0.5000000"],
        ]
    ]


def test_an_outline_runs_counter_clockwise_and_a_hole_clockwise():
    """RFC 7946, section 3.1.6."""
    outline, hole = as_geojson(read_boundary(polygon(RING[::-1], HOLE[::-1])))["coordinates"]

    assert outline == RING
    assert hole == HOLE


def test_geojson_of_one_part_is_a_polygon_and_of_two_a_multi_polygon():
    assert as_geojson(read_boundary(multi([RING]))) == polygon(RING)
    assert as_geojson(read_boundary(multi([FAR], [RING, HOLE]))) == multi([RING, HOLE], [FAR])


@pytest.mark.parametrize(
    ("written", "units"),
    [
        (42, 420000000),
        (42.00000005, 420000000),
        (42.00000015, 420000002),
        (42.000000051, 420000001),
        ("42.00000005000000000000000000000000001", 420000001),
        ("42", 420000000),
        ("4.2e1", 420000000),
        ("0.42E+2", 420000000),
        ("42.0000000", 420000000),
        (-0.0, 0),
        ("-0.00000004", 0),
        ("1e-999", 0),
    ],
)
def test_a_number_is_rounded_once_half_to_even(written, units):
    ring = [[written, 0], [50, 0], [50, 1], [written, 0]]

    assert min(longitude for longitude, _ in read_boundary(polygon(ring)).rings[0]) == units


def test_a_height_is_dropped():
    assert read_boundary(polygon([[*position, 211.5] for position in RING])) == read_boundary(polygon(RING))


def test_a_position_that_repeats_the_one_before_is_dropped():
    doubled = [position for position in RING for _ in range(3)]

    assert read_boundary(polygon(doubled)) == read_boundary(polygon(RING))


def test_foreign_members_are_passed_over():
    """RFC 7946, section 6.1."""
    assert read_boundary({**polygon(RING), "bbox": [-88, 42, -87.99, 42.01], "name": "x"}) == read_boundary(
        polygon(RING)
    )


@pytest.mark.parametrize(
    ("sent", "where"),
    [
        (None, "coordinates"),
        ([], "coordinates"),
        ("POLYGON((0 0,1 0,1 1,0 0))", "coordinates"),
        ({}, "type"),
        ({"type": "Point", "coordinates": [0, 0]}, "type"),
        ({"type": "Feature", "geometry": polygon(RING)}, "type"),
        ({"type": ["Polygon"], "coordinates": [RING]}, "type"),
        ({"type": "Polygon"}, "coordinates"),
        (polygon(), "coordinates"),
        (multi(), "coordinates"),
        (multi([]), "coordinates.0"),
        (multi([RING], "x"), "coordinates.1"),
        (polygon("x"), "coordinates"),
        (polygon(RING, []), "coordinates"),
        (polygon({"0": [0, 0]}), "coordinates"),
        (polygon([*RING[:2], [], *RING[2:]]), "coordinates.0.2"),
        (polygon([*RING[:2], [-87.99], *RING[2:]]), "coordinates.0.2"),
        (polygon([*RING[:2], [-87.99, 42, 1, 1], *RING[2:]]), "coordinates.0.2"),
        (polygon([*RING[:2], "12", *RING[2:]]), "coordinates.0.2"),
        (polygon([*RING[:2], None, *RING[2:]]), "coordinates.0.2"),
        (polygon([RING[0]]), "coordinates.0"),
        (polygon([RING[0], RING[1], RING[0]]), "coordinates.0"),
        (polygon([RING[0], RING[1], RING[1], RING[0]]), "coordinates.0"),
        (multi([RING], [FAR, [[0, 0], [0, 1], [0, 0]]]), "coordinates.1.1"),
        (polygon([[0, 0], [0.00000001, 0], [0.00000001, 0.00000001], [0, 0]]), "coordinates.0"),
    ],
)
def test_what_is_not_a_polygon_is_refused(sent, where):
    assert refused(sent) == (BoundaryUnreadable, where)


@pytest.mark.parametrize(
    "number",
    [
        math.nan,
        math.inf,
        -math.inf,
        True,
        None,
        [42],
        {},
        "NaN",
        "Infinity",
        "",
        " 42",
        "42,5",
        "4_2",
        "0x2a",
        "٤٢",
        ".5",
        "1e9999",
        "0" * 41,
        b"42",
    ],
    ids=repr,
)
@pytest.mark.parametrize("place", [0, 1])
def test_what_is_not_a_number_is_refused(number, place):
    position = [-87.99, 42.0]
    position[place] = number

    assert refused(polygon([RING[0], position, *RING[2:]])) == (BoundaryNotANumber, "coordinates.0.1")


def test_a_height_that_is_not_a_number_is_refused():
    assert refused(polygon([RING[0], [-87.99, 42, "high"], *RING[2:]])) == (BoundaryNotANumber, "coordinates.0.1")


@pytest.mark.parametrize(
    "position",
    [[180.00000001, 0], [-180.00000001, 0], [100, 90.00000001], [100, -90.00000001], ["1e999", 0], [10**4000, 0]],
    ids=lambda position: str(position)[:20],
)
def test_a_position_that_is_not_on_the_globe_is_refused(position):
    assert refused(polygon([[99, 0], position, [99, 1], [99, 0]])) == (BoundaryOutOfRange, "coordinates.0.1")


def test_latitude_before_longitude_is_refused_where_it_leaves_the_globe():
    swapped = [[latitude, longitude - 10] for longitude, latitude in RING]

    assert refused(polygon(swapped)) == (BoundaryOutOfRange, "coordinates.0.0")


def test_the_edges_of_the_globe_are_on_it():
    corner = [[180, 90], [179, 90], [179, 89], [180, 90]]
    other = [[-180, -90], [-179, -90], [-179, -89], [-180, -90]]

    assert len(read_boundary(multi([corner], [other])).polygons) == 2


def test_an_outline_that_does_not_end_where_it_begins_is_refused():
    assert refused(polygon(RING[:-1])) == (BoundaryNotClosed, "coordinates.0")
    assert refused(polygon(RING, [*HOLE[:-1], [-87.998, 42.0020001]])) == (BoundaryNotClosed, "coordinates.1")


def test_an_outline_that_ends_within_half_a_unit_of_its_beginning_is_closed():
    assert read_boundary(polygon([*RING[:-1], [-88.00000004, 42]])) == read_boundary(polygon(RING))


@pytest.mark.parametrize("crs", [None, {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::3857"}}])
def test_a_coordinate_system_of_its_own_is_refused(crs):
    """RFC 7946, section 4; even when it is null."""
    assert refused({**polygon(RING), "crs": crs}) == (BoundaryCrsRefused, "crs")


@pytest.mark.parametrize(
    "ring",
    [
        [[179, 0], [-179, 0], [-179, 1], [179, 1], [179, 0]],
        [[-180, -10], [0, -10], [180, -10], [0, 10], [-180, -10]],
        [[-90, 0], [0, 1], [90, 0], [-90, 0]],
    ],
)
def test_a_ring_across_the_180_degree_meridian_is_refused_with_what_to_do(ring):
    assert refused(polygon(ring)) == (BoundaryCrossesAntimeridian, "coordinates.0")
    assert "Cut it into parts at that meridian" in BoundaryCrossesAntimeridian.message


def test_a_boundary_cut_at_the_180_degree_meridian_is_read():
    """RFC 7946, section 3.1.9."""
    east = [[179, 0], [180, 0], [180, 1], [179, 1], [179, 0]]
    west = [[-180, 0], [-179, 0], [-179, 1], [-180, 1], [-180, 0]]

    assert as_geojson(read_boundary(multi([east], [west]))) == multi([west], [east])


def test_5000_points_are_read_and_5001_refused():
    assert len(read_boundary(polygon(round_ring(MAX_VERTICES))).rings[0]) == MAX_VERTICES
    assert refused(polygon(round_ring(MAX_VERTICES + 1))) == (BoundaryTooLarge, "coordinates")
    assert refused(polygon(round_ring(MAX_VERTICES - 2), HOLE)) == (BoundaryTooLarge, "coordinates")


def test_200_outlines_are_read_and_201_refused():
    parts = [
        [[[place / 10, 0], [place / 10 + 0.05, 0], [place / 10, 1], [place / 10, 0]]] for place in range(MAX_RINGS + 1)
    ]

    assert len(read_boundary(multi(*parts[:-1])).polygons) == MAX_RINGS
    assert refused(multi(*parts)) == (BoundaryTooLarge, "coordinates")
    assert refused(polygon(*[part[0] for part in parts])) == (BoundaryTooLarge, "coordinates")


@pytest.mark.parametrize(
    "sent",
    [
        polygon(round_ring(100_000)),
        polygon([[0, 0]] * 1_000_000),
        polygon(*[[]] * 1_000_000),
        multi(*[[RING]] * 100_000),
        multi(*[[]] * 1_000_000),
        polygon([*RING[:2], [0] * 1_000_000, RING[0]]),
        polygon(["9" * 1_000_000] * 4),
        polygon([["9" * 1_000_000] * 2] * 4),
        {"type": "Polygon", "coordinates": {str(number): number for number in range(100_000)}},
    ],
    ids=range(9),
)
def test_a_flood_is_refused_before_it_is_read(sent):
    begun = perf_counter()
    refused(sent)

    assert perf_counter() - begun < 0.5


def test_deep_nesting_is_refused():
    nested = []
    for _ in range(100_000):
        nested = [nested]

    assert refused({"type": "Polygon", "coordinates": nested})[0] is BoundaryUnreadable


def test_a_boundary_of_5000_points_is_read_in_time():
    begun = perf_counter()
    read_boundary(polygon(round_ring(MAX_VERTICES)))

    assert perf_counter() - begun < 2


@st.composite
def boundaries(draw):
    """Draw one to three round parts side by side, each perhaps with a hole."""
    parts = []
    for place in range(draw(st.integers(1, 3))):
        corners = draw(st.integers(3, 9))
        shift = [place + draw(st.integers(0, 10**6)) / 1e7, draw(st.integers(-800, 800)) / 10]
        rings = [round_ring(corners, 0.1)] + [round_ring(corners, 0.03)] * draw(st.integers(0, 1))
        parts.append([[[lon + 88 + shift[0], lat - 42 + shift[1]] for lon, lat in ring] for ring in rings])
    return multi(*parts)


@settings(deadline=None)
@given(boundaries())
def test_the_canonical_text_and_the_numbers_read_back_as_the_same_boundary(sent):
    boundary = read_boundary(sent)

    assert read_boundary(json.loads(json.dumps(canonical(boundary)))) == boundary
    assert read_boundary(json.loads(json.dumps(as_geojson(boundary)))) == boundary


@settings(deadline=None)
@given(sent=boundaries(), first=st.integers(0, 8), is_reversed=st.booleans(), is_turned=st.booleans())
def test_the_same_boundary_drawn_otherwise_has_the_same_text(sent, first, is_reversed, is_turned):
    def drawn_otherwise(ring):
        corners = ring[:-1][::-1] if is_reversed else ring[:-1]
        start = first % len(corners)
        return [*corners[start:], *corners[:start], corners[start]]

    parts = [[drawn_otherwise(ring) for ring in part] for part in sent["coordinates"]]

    assert canonical(read_boundary(multi(*parts[:: -1 if is_turned else 1]))) == canonical(read_boundary(sent))


@settings(deadline=None)
@given(boundaries())
def test_no_position_moves_by_more_than_half_a_unit(sent):
    half_a_unit = Fraction(1, 2 * 10**7)
    drawn = [position for part in sent["coordinates"] for ring in part for position in ring]
    kept = [(Fraction(lon, 10**7), Fraction(lat, 10**7)) for ring in read_boundary(sent).rings for lon, lat in ring]

    for written in drawn:
        longitude, latitude = (Fraction(repr(number)) for number in written)
        assert any(abs(longitude - lon) <= half_a_unit and abs(latitude - lat) <= half_a_unit for lon, lat in kept)
