"""Dry products are weighed: in a batch, its lines and every sum; pieces count where a product says what one holds."""

import pytest

from stewardship.journal.snapshots import snapshot
from stewardship.reports.sides import Asked
from stewardship.reports.use import use_summary
from stewardship.rules.measures import base_of
from stewardship.rules.units import UNITS
from stewardship.treatments.models import ActiveUse, Application, Batch, ProductUse
from tests.ground import fl_oz, lb
from tests.published import published, within_print

POUND_UG = int(UNITS["lb"].per_unit)


def gal(value):
    return {"value": value, "unit": "gal"}


@pytest.fixture
def powder(ground):
    """Give a powder of 80 %, in packets of half a pound."""
    return ground.powder()


def mixed(ground, powder, **amount):
    values = {"mix": gal("25"), "carrier": "water", "parts": [{"product": str(powder), **amount}]}
    return Batch.objects.get(id=ground.batch(**values))


@pytest.mark.django_db
def test_a_powder_of_80_per_cent_carries_the_printed_active_ingredient(ground, powder):
    """Agrochemical and Pesticide Safety handbook, example 5: 2.5 lb of an 80 WP hold 2 lb a.i."""
    row = published("agrochemical_safety_dry")[0]
    batch = mixed(ground, powder, mass=lb(row["lb_product"]))

    line = ground.line(ground.session(), batch.id, "25", mix=gal("25"))

    (use,) = ActiveUse.objects.filter(application=line)
    assert within_print(use.ai_ug / UNITS["lb"].per_unit, row["lb_ai_per_acre"])
    assert (use.ae_ug, use.product_nl) == (None, None)


@pytest.mark.django_db
def test_lines_share_a_powder_by_weight_and_the_last_takes_all_of_it(ground, powder):
    batch, session = mixed(ground, powder, mass=lb("1")), ground.session()

    for gallons in ("7.3", "9.9", "7.8"):
        ground.line(session, batch.id, gallons, mix=gal(gallons))

    uses = ProductUse.objects.filter(application__batch=batch)
    assert sum(use.dry_product_ug for use in uses) == POUND_UG
    assert {use.product_nl for use in uses} == {None}
    assert Batch.objects.get(id=batch.id).parts_left == [{"product": str(powder), "left_ug": 0}]


@pytest.mark.django_db
def test_a_powder_takes_no_room_in_the_mix_and_a_tank_mix_tells_each_in_its_own_measure(ground, powder):
    parts = [{"product": str(powder), "mass": lb("2")}, {"product": str(ground.product), "volume": fl_oz("64")}]
    id = ground.batch(parts=parts, mix=fl_oz("64"), carrier="none")
    line = ground.line(ground.session(), id, "32")

    with snapshot():
        told = use_summary(ground.coordinator.group_id, Asked(("product",), None, None, {}), most=10)

    assert [base_of(product) for product in line.products] == ["ug", "nl"]
    rows = {row["keys"]["product"]["id"]: row["shared"] for row in told["results"]}
    assert (rows[str(powder)]["dry_product_ug"], rows[str(powder)]["product_nl"]) == (0, 0)
    assert (told["totals"]["dry_product_ug"], told["totals"]["product_nl"]) == (POUND_UG, 946_352_946)


@pytest.mark.django_db
def test_pieces_are_an_amount_where_the_product_says_what_one_holds(ground, powder):
    batch = mixed(ground, powder, pieces=3)

    (part,) = batch.parts
    assert part["ug"] == 3 * POUND_UG // 2
    assert part["mass"] == {"value": "3", "unit": "piece", "ug": part["ug"]}


@pytest.mark.django_db
def test_a_powder_goes_on_through_a_top_up_and_comes_back_when_that_is_voided(ground, powder):
    batch = mixed(ground, powder, mass=lb("1"))

    child = Batch.objects.get(
        id=ground.top_up({"batch": str(batch.id), "volume": gal("10")}, mix="1600", carrier="water")
    )
    ground.line(ground.session(), child.id, "800")

    (part,) = child.parts
    assert (part["ug"], part["mass"]) == (round(POUND_UG * 10 / 25), None)
    assert Application.objects.get(batch=child).products[0]["ug"] == part["ug"] // 2


@pytest.mark.django_db
def test_a_planned_powder_is_told_by_weight(ground, powder):
    def planned(**part):
        told = {"unit": ground.unit, "planned_on": "2027-05-01", "method": "foliar", "carrier": "water"}
        told |= {"mix": {"value": "10", "unit": "l"}, "parts": [{"product": str(powder), **part}]}
        return ground.coordinator.does("planned_mix", "create", **told).record.parts[0]

    by_strength, by_mass = (
        planned(strength={"value": "12", "basis": "product_g_l"}),
        planned(mass={"value": "120", "unit": "g"}),
    )

    assert by_strength["ug"] == by_mass["ug"] == 120 * 10**6
    assert by_mass["actives"][0]["ai_ug"] == 96 * 10**6
