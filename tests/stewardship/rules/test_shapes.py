"""Places on the map, and how far they lie apart.

Distances are checked against points laid out from a corner by geographiclib's direct problem, which the code under
test never uses, and against a search along both shapes in steps.
"""

from itertools import product

import pytest
from geographiclib.geodesic import Geodesic

from stewardship.rules.geometry import BoundaryNotANumber, BoundaryOutOfRange, BoundaryTooLarge, read_boundary
from stewardship.rules.shapes import ShapeUnreadable, canonical_shape, distance_mm, read_shape, shape_of

WEST, SOUTH, EAST, NORTH = -88.1000000, 42.1000000, -88.0980000, 42.1010000
FAR = 100_000
"""The greatest distance asked about [mm]."""


def box(west=WEST, south=SOUTH, east=EAST, north=NORTH, *holes):
    ring = [[west, south], [east, south], [east, north], [west, north], [west, south]]
    return {"type": "Polygon", "coordinates": [ring, *holes]}


UNIT = shape_of(read_boundary(box()))


def point(longitude, latitude):
    return read_shape({"type": "Point", "coordinates": [longitude, latitude]})


def line(*places):
    return read_shape({"type": "LineString", "coordinates": list(places)})


def away(latitude, longitude, azimuth, metres):
    """Return the place so many metres from another one, as (longitude, latitude)."""
    found = Geodesic.WGS84.Direct(latitude, longitude, azimuth, metres)
    return found["lon2"], found["lat2"]


@pytest.mark.parametrize("metres", [0.5, 6.096, 30.0, 99.0])
@pytest.mark.parametrize(
    ("corner", "azimuth"),
    [((NORTH, EAST), 45), ((NORTH, WEST), 315), ((SOUTH, EAST), 120), ((SOUTH, WEST), 200)],
    ids=["north-east", "north-west", "south-east", "south-west"],
)
def test_a_well_off_a_corner_is_as_far_as_it_was_laid_out(corner, azimuth, metres):
    well = point(*away(*corner, azimuth, metres))

    found = distance_mm(UNIT, well, within_mm=FAR)

    assert found == pytest.approx(metres * 1000, abs=12)  # a position is kept to about 1 cm
    assert distance_mm(well, UNIT, within_mm=FAR) == pytest.approx(found, abs=1)


def test_a_stream_along_a_side_is_as_far_as_the_search_in_steps_finds_it():
    stream = line([-88.1010, 42.1012], [-88.0995, 42.10125], [-88.0960, 42.1013])
    places = []
    for start, end in (((-88.1010, 42.1012), (-88.0995, 42.10125)), ((-88.0995, 42.10125), (-88.0960, 42.1013))):
        places += [tuple(a + (b - a) * i / 400 for a, b in zip(start, end, strict=True)) for i in range(401)]
    side = [(WEST + (EAST - WEST) * i / 400, NORTH) for i in range(401)]
    searched = min(Geodesic.WGS84.Inverse(a[1], a[0], b[1], b[0])["s12"] for a, b in product(places[::4], side[::4]))

    found = distance_mm(UNIT, stream, within_mm=FAR)

    assert found == pytest.approx(searched * 1000, abs=60)
    assert found <= searched * 1000 + 1


@pytest.mark.parametrize(
    "shape",
    [
        point(-88.0990, 42.1005),
        line([-88.2, 42.1005], [-88.0, 42.1005]),
        line([-88.0995, 42.1004], [-88.0993, 42.1006]),
        shape_of(read_boundary(box(-88.2, 42.0, -88.0, 42.2))),
        shape_of(read_boundary(box(EAST, SOUTH, -88.0, NORTH))),
        point(WEST, SOUTH),
    ],
    ids=["a well inside", "a stream through", "a ditch inside", "a marsh around", "a marsh beside", "on a corner"],
)
def test_what_touches_or_lies_within_has_no_distance(shape):
    assert distance_mm(UNIT, shape, within_mm=0) == 0
    assert distance_mm(UNIT, shape, within_mm=FAR) == 0


def test_a_well_in_a_hole_is_as_far_as_the_edge_of_the_hole():
    hole = [[-88.0995, 42.1004], [-88.0985, 42.1004], [-88.0985, 42.1006], [-88.0995, 42.1006], [-88.0995, 42.1004]]
    unit = shape_of(read_boundary(box(WEST, SOUTH, EAST, NORTH, hole)))
    latitude, longitude = 42.1005, -88.0990
    edge = Geodesic.WGS84.Inverse(latitude, longitude, 42.1004, longitude)["s12"] * 1000

    assert distance_mm(unit, point(longitude, latitude), within_mm=FAR) == pytest.approx(edge, abs=2)


def test_what_lies_further_than_asked_about_has_no_distance():
    well = point(*away(NORTH, EAST, 45, 7))

    assert distance_mm(UNIT, well, within_mm=6_900) is None
    assert distance_mm(UNIT, well, within_mm=7_100) == pytest.approx(7_000, abs=12)
    assert distance_mm(UNIT, point(10.0, 50.0), within_mm=FAR) is None


@pytest.mark.parametrize("sent", [
    {"type": "Point", "coordinates": [-88.1, 42.1]},
    {"type": "LineString", "coordinates": [[-88.1, 42.1], ["-88.2", "42.2000000"]]},
    box(),
], ids=lambda sent: sent["type"])  # fmt: skip
def test_a_place_is_kept_as_decimal_text_and_reads_the_same_again(sent):
    shape = read_shape(sent)

    kept = canonical_shape(shape)

    assert kept["type"] == sent["type"]
    assert all(isinstance(number, str) for number in _numbers(kept["coordinates"]))
    assert canonical_shape(read_shape(kept)) == kept


def _numbers(nested):
    for each in nested:
        yield from _numbers(each) if isinstance(each, list) else [each]


@pytest.mark.parametrize(
    ("sent", "refusal"),
    [
        ("here", ShapeUnreadable),
        ({"type": "Circle", "coordinates": [1, 2]}, ShapeUnreadable),
        ({"type": "Point"}, ShapeUnreadable),
        ({"type": "LineString", "coordinates": [[1, 2]]}, ShapeUnreadable),
        ({"type": "LineString", "coordinates": [[1, 2], [1, 2]]}, ShapeUnreadable),
        ({"type": "LineString", "coordinates": [[1, 2]] * 5001}, BoundaryTooLarge),
        ({"type": "Point", "coordinates": [1, 91]}, BoundaryOutOfRange),
        ({"type": "Point", "coordinates": ["a", 1]}, BoundaryNotANumber),
    ],
    ids=lambda value: value.code if isinstance(value, type) else None,
)
def test_what_is_no_place_is_refused(sent, refusal):
    with pytest.raises(refusal):
        read_shape(sent)
