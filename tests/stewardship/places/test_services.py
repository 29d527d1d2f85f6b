"""Properties and units: what is kept of them, and what is refused."""

import json

import pytest

from stewardship.errors import NotPermitted, Unavailable, Unreadable
from stewardship.journal.models import Revision
from stewardship.places.models import Property, Unit

pytestmark = pytest.mark.django_db

SQUARE = {"type": "Polygon", "coordinates": [[[-93, 44], [-92.99, 44], [-92.99, 44.01], [-93, 44.01], [-93, 44]]]}
# A hundredth of a degree each way at 44° N on WGS 84. From the meridian and parallel arcs of the ellipsoid
# (series in any textbook of geodesy, from memory): 1,111.1 m by 802.5 m, some 89.1 ha.
SQUARE_M2 = 891_000


@pytest.fixture
def fen(coordinator):
    """Give a property of the group."""
    return coordinator.does("property", "create", name="Fen Edge").record


@pytest.mark.parametrize("type", ["property", "unit"])
def test_a_boundary_comes_in_and_its_area_is_a_column(coordinator, fen, type):
    above = {"property": fen.id} if type == "unit" else {}

    record = coordinator.does(type, "create", name="Mapped", boundary=SQUARE, **above).record

    stored = type_of(type).objects.get(id=record.id)
    assert stored.area_mm2 / 1e6 == pytest.approx(SQUARE_M2, rel=0.005)
    assert isinstance(stored.area_mm2, int)
    assert stored.boundary["type"] == "Polygon"
    assert json.loads(json.dumps(stored.boundary), parse_float=pytest.fail)


def type_of(type):
    return {"property": Property, "unit": Unit}[type]


def test_without_a_boundary_there_is_no_area_and_not_zero(fen):
    assert (fen.boundary, fen.area_mm2) == (None, None)


def test_taking_a_boundary_away_takes_its_area_along(coordinator):
    made = coordinator.does("property", "create", name="Mapped", boundary=SQUARE).record

    amended = coordinator.does("property", "amend", id=made.id, boundary=None).record

    assert (amended.boundary, amended.area_mm2) == (None, None)


def test_a_correction_of_something_else_leaves_boundary_and_area(coordinator):
    made = coordinator.does("property", "create", name="Mapped", boundary=SQUARE).record

    amended = coordinator.does("property", "amend", id=made.id, note="wet in spring").record

    assert (amended.boundary, amended.area_mm2) == (made.boundary, made.area_mm2)


def test_the_same_boundary_again_is_no_change(coordinator):
    made = coordinator.does("property", "create", name="Mapped", boundary=SQUARE).record

    assert coordinator.does("property", "amend", id=made.id, boundary=SQUARE).result["outcome"] == "noop"


@pytest.mark.parametrize(
    ("boundary", "code"),
    [
        ({"type": "Polygon", "coordinates": [[[0, 0], [1, 1], [0, 1], [1, 0], [0, 0]]]}, "boundary_crosses_itself"),
        ({"type": "Polygon", "coordinates": [[[0, 0], [1, 0], [1, 1], [0, 1]]]}, "boundary_not_closed"),
        ({"type": "Polygon", "coordinates": [[[0, 91], [1, 0], [1, 1], [0, 91]]]}, "boundary_out_of_range"),
        ({"type": "Point", "coordinates": [0, 0]}, "boundary_unreadable"),
        ({"type": "Polygon"}, "boundary_unreadable"),
        ("POLYGON((0 0, 1 0, 1 1, 0 0))", "boundary_unreadable"),
        ([], "boundary_unreadable"),
    ],
)
@pytest.mark.parametrize("type", ["property", "unit"])
def test_what_is_no_boundary_is_told_with_its_code(coordinator, fen, type, boundary, code):
    above = {"property": fen.id} if type == "unit" else {}

    with pytest.raises(Unreadable) as refused:
        coordinator.does(type, "create", name="x", boundary=boundary, **above)

    assert [(p["pointer"], p["code"]) for p in refused.value.facts["errors"]] == [("/boundary", code)]


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", ""), ("name", " \n"), ("name", "x" * 201), ("name", 7), ("address", None), ("note", "x" * 4001),
        ("time_zone", "Mars/Base"), ("area_mm2", 1), ("rev", 7), ("group", "x"),
    ],
)  # fmt: skip
def test_a_field_that_is_none_or_holds_nonsense_is_refused(coordinator, field, value):
    with pytest.raises(Unreadable) as refused:
        coordinator.does("property", "create", **({"name": "Fen"} | {field: value}))

    assert [problem["pointer"] for problem in refused.value.facts["errors"]] == [f"/{field}"]


@pytest.mark.parametrize("name", ["x", "x" * 200, "Ødegård 🌱", "Fen, the 'old' \\ part"])
def test_a_name_of_one_to_two_hundred_signs_is_kept_as_written(coordinator, name):
    made = coordinator.does("property", "create", name=name).record

    assert Property.objects.get(id=made.id).name == name


def test_a_unit_stays_with_its_property(coordinator, fen):
    other = coordinator.does("property", "create", name="Other").record
    unit = coordinator.does("unit", "create", name="North", property=fen.id).record

    with pytest.raises(Unreadable) as refused:
        coordinator.does("unit", "amend", id=unit.id, property=str(other.id))

    assert refused.value.facts["errors"][0]["code"] == "field_unknown"


def test_a_unit_needs_a_property_of_the_group(coordinator, stranger, fen):
    for property in (fen.id, None):
        expected = Unavailable if property else Unreadable
        with pytest.raises(expected):
            stranger.does("unit", "create", name="x", **({"property": property} if property else {}))


@pytest.mark.parametrize("who", ["volunteer", "reviewer", "former"])
def test_only_a_coordinator_manages_places(cast, who):
    fen = cast.coordinator.does("property", "create", name="Fen Edge").record
    unit = cast.coordinator.does("unit", "create", name="North", property=fen.id).record
    for type, op, id, values in [
        ("property", "create", None, {"name": "x"}),
        ("property", "amend", fen.id, {"name": "x"}),
        ("unit", "create", None, {"name": "x", "property": fen.id}),
        ("unit", "amend", unit.id, {"name": "x"}),
    ]:
        with pytest.raises(NotPermitted):
            getattr(cast, who).does(type, op, id=id, **values)


def test_what_the_book_says_of_a_property_is_all_of_it(coordinator):
    made = coordinator.does("property", "create", name="Mapped", boundary=SQUARE, time_zone="America/Boise").record

    told = json.loads(Revision.objects.get(record_id=made.id).content)
    assert told == {
        "name": "Mapped", "address": "", "time_zone": "America/Boise", "jurisdiction": "", "note": "",
        "boundary": made.boundary, "area_mm2": made.area_mm2, "legal_description": "", "county_section": "",
        "map_number": "",
    }  # fmt: skip
