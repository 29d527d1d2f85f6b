"""A unit's area-year ledger follows its lines: the audit after each test counts them again."""

import pytest

from stewardship.catalog.models import Product
from stewardship.places.models import Unit
from stewardship.rules.area_years import total
from stewardship.treatments.models import Application
from tests.cast import sent
from tests.ground import FL_OZ, fl_oz
from tests.stewardship.treatments.limited import codes, licensed, limit, mapped

pytestmark = pytest.mark.django_db(transaction=True)


def used(unit, year=2027, measure="product_nl"):
    cells = Unit.objects.get(id=unit).used_in_years.get(str(year), [])
    found = total(cells, measure)
    return round(found.known / FL_OZ, 6) if measure == "product_nl" else (found.known, found.unknown)


@pytest.fixture
def line(ground):
    return ground.line(ground.session(), ground.batch(), "40", stems=17)


def test_a_line_counts_in_its_unit_and_year(ground, line):
    assert used(ground.unit) == 8
    assert used(ground.unit, measure="stems") == (17, 0)
    assert used(ground.other_unit) == used(ground.unit, 2026) == 0


def test_another_amount_and_other_stems_restate_it(ground, line, coordinator):
    coordinator.does("application", "amend", id=line.id, reason="read again", mix=fl_oz("20"), stems=None)

    assert used(ground.unit) == 4
    assert used(ground.unit, measure="stems") == (0, 1)


def test_another_unit_takes_it_over(ground, line, coordinator):
    coordinator.does("application", "amend", id=line.id, reason="the other slope", unit=ground.other_unit)

    assert Unit.objects.get(id=ground.unit).used_in_years == {}
    assert used(ground.other_unit) == 8


def test_a_voided_line_counts_nowhere_and_counts_again_when_reinstated(ground, line, coordinator):
    coordinator.does("application", "void", id=line.id, reason="typed twice")
    assert Unit.objects.get(id=ground.unit).used_in_years == {}

    coordinator.does("application", "reinstate", id=line.id, reason="it was real")
    assert used(ground.unit) == 8


def test_a_session_moved_to_another_year_takes_its_lines_along_and_no_voided_one(ground, line, coordinator):
    other = ground.line(line.session_id, ground.batch(), "10")
    coordinator.does("application", "void", id=other.id, reason="typed twice")

    values = {"started_at": "2026-05-01T09:30:00-05:00", "reason": "the year was mistyped"}
    coordinator.does("session", "amend", id=line.session_id, **values)

    assert used(ground.unit, 2027) == 0
    assert used(ground.unit, 2026) == 8


def test_a_ledger_is_told_with_its_unit_and_is_no_change_of_it(ground, line, coordinator):
    unit = Unit.objects.get(id=ground.unit)

    assert unit.rev == 1
    assert "used_in_years" not in unit.content()
    told = coordinator.client().get(f"/api/v1/groups/{coordinator.group_id}/units/{unit.id}").json()
    assert told["used_in_years"]["2027"][0]["lines"] == 1


def test_session_and_lines_of_one_push_count(ground, coordinator):
    batch, session = str(ground.batch()), "01890000-0000-7000-8000-000000000001"
    begun = {"unit": str(ground.other_unit), "applicator": str(coordinator.member.id)}
    begun |= {"id": session, "started_at": "2027-05-01T09:30:00-05:00"}
    told = {"session": session, "batch": batch, "species": str(ground.species), "method": "basal_bark"}
    told |= {"mix": fl_oz("5"), "how_known": "measured"}

    taken = coordinator.pushes(sent("session", "create", begun), *[sent("application", "create", told)] * 1)

    assert [each["outcome"] for each in taken.results] == ["applied", "applied"]
    assert used(ground.other_unit) == 1


# -- ceilings --------------------------------------------------------------------------------------


STEMS = {"what": "area_year_ceiling", "high": "1600", "unit": "stems_acre"}
QUARTS = {"what": "area_year_ceiling", "high": "8.5", "unit": "qt_acre"}
PNW = "Knotweed, PNW Weed Management Handbook (node 8533)"


@pytest.fixture
def knotweed(ground, coordinator):
    """Store both ceilings of the handbook, give the crew a card, and mix five gallons of the product undiluted."""
    licensed(coordinator)
    for each in (QUARTS, STEMS):
        limit(coordinator, **each, method="injection", species=ground.species, source=PNW)
    coordinator.does("product", "amend", id=ground.product, carriers=["none"])
    mapped(ground)
    gallons = {"value": "5", "unit": "gal"}
    return ground.batch(carrier="none", mix=gallons, parts=[{"product": str(ground.product), "volume": gallons}])


def inject(ground, batch, stems, session=None, **values):
    """Inject 5 mL into each stem."""
    told = {"method": "injection", "stems": stems, "mix": {"value": str(5 * stems), "unit": "ml"}}
    return ground.line(session or ground.session(), batch, "1", **told | values)


def test_1600_stems_of_5_ml_on_an_acre_are_99_percent_by_volume_all_by_stems_and_one_more_session_is_over(
    ground, knotweed
):
    """The unit measures 1.0001 acres."""
    marks = [codes(inject(ground, knotweed, 400)) for _ in range(4)]
    assert marks == [[], [], [], ["near_ceiling"]]

    (full,) = Application.objects.order_by("id").last().marks
    assert full["source"] == PNW
    assert (
        "1600 stems in 2027, divided by the unit's 1.00 acre, is 100 % of a ceiling of 1600 stems an acre"
        in full["detail"]
    )

    (over,) = inject(ground, knotweed, 1).marks
    assert over["code"] == "over_ceiling"
    assert over["detail"].startswith("Over a stored limit: 1601 stems in 2027")


def test_a_ceiling_counts_all_methods_crews_and_products_with_the_same_active(ground, knotweed, cast):
    inject(ground, knotweed, 1200)
    twin = cast.coordinator.does("product", "create", **twin_of(ground)).record.id
    parts = [{"product": str(twin), "volume": fl_oz("12.8")}]

    other = ground.batch(cast.volunteer, carrier="oil", parts=parts)
    found = ground.line(ground.session(cast.volunteer), other, "5", cast.volunteer, stems=401, method="foliar")

    assert codes(found) == ["credential_missing", "over_ceiling"]


def twin_of(ground):
    """Return what is sent for a weaker product with the same active ingredient."""
    (stated,) = Product.objects.get(id=ground.product).ingredients
    ingredient = {"active_ingredient": stated["active_ingredient"], "ae": {"value": "3", "unit": "lb_gal"}}
    return {"name": "ester 3 lb", "formulation": "ester", "carriers": ["oil"], "ingredients": [ingredient]}


def test_another_active_ingredient_another_species_and_another_year_do_not_count(ground, knotweed, coordinator):
    inject(ground, knotweed, 1300)
    other = coordinator.does("species", "create", scientific_name="Ligustrum vulgare").record.id

    assert codes(inject(ground, knotweed, 1300, species=other)) == []
    last_year = ground.session(started_at="2026-05-01T09:30:00-05:00")
    assert codes(inject(ground, knotweed, 200, last_year)) == []


def test_a_unit_without_an_area_cannot_be_compared(ground, knotweed):
    (mark,) = inject(ground, knotweed, 10, unit=ground.other_unit).marks

    assert mark["code"] == "ceiling_not_comparable"
    assert "the area of this unit is not known" in mark["detail"]


def test_stems_that_nobody_counted_are_not_zero(ground, knotweed):
    found = ground.line(ground.session(), knotweed, "1", method="injection")

    (mark,) = found.marks
    assert mark["code"] == "ceiling_not_comparable"
    assert "not known in 1 of the year's figures" in mark["detail"]


def test_a_ceiling_in_acid_counts_acid_and_not_product(ground, coordinator, knotweed):
    """4 lb a.e. in a gallon: half a gallon on an acre is 2 lb."""
    limit(coordinator, what="area_year_ceiling", high="1.9", unit="lb_ae_acre", active="Triclopyr", source="A label")

    found = ground.line(ground.session(), knotweed, "64", stems=1, method="foliar")

    (mark,) = found.marks
    assert (mark["code"], mark["source"]) == ("over_ceiling", "A label")
    assert "2 lb a.e. with triclopyr in 2027" in mark["detail"]


def test_a_line_that_is_voided_makes_room_and_one_that_is_reinstated_is_judged_anew(ground, knotweed, coordinator):
    first = inject(ground, knotweed, 1000)
    coordinator.does("application", "void", id=first.id, reason="typed twice")
    assert codes(inject(ground, knotweed, 1000)) == []

    coordinator.does("application", "reinstate", id=first.id, reason="it was real")
    assert codes(Application.objects.get(id=first.id)) == ["over_ceiling"]


def test_a_line_moved_to_another_unit_or_year_is_judged_there(ground, knotweed, coordinator):
    mapped(ground, ground.other_unit)
    inject(ground, knotweed, 1000)
    session = ground.session()
    second = inject(ground, knotweed, 1000, session)
    assert codes(second) == ["over_ceiling"]

    coordinator.does("application", "amend", id=second.id, reason="the other slope", unit=ground.other_unit)
    assert codes(Application.objects.get(id=second.id)) == []

    coordinator.does("application", "amend", id=second.id, reason="no, here", unit=ground.unit)
    assert codes(Application.objects.get(id=second.id)) == ["over_ceiling"]
    coordinator.does("session", "amend", id=session, started_at="2026-05-01T09:30:00-05:00", reason="last year")
    assert codes(Application.objects.get(id=second.id)) == []
