"""A batch is topped up from others: what comes with the mix, and what goes back when it is voided."""

from datetime import UTC, datetime
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stewardship.catalog.models import Product
from stewardship.rules.mixes.compositions import CarriersDiffer, Composition, combine, portion
from stewardship.treatments.models import Application, Batch, Leftover, PouredFrom, ProductUse
from stewardship.treatments.services.batches import BatchInUse
from tests.ground import FL_OZ, fl_oz, nl
from tests.stewardship.treatments.records import tank_mix
from tests.stewardship.treatments.test_balances import ml

pytestmark = pytest.mark.django_db(transaction=True)


def from_batch(batch, ounces):
    return {"batch": str(batch), "volume": fl_oz(ounces)}


def percent(batch):
    return Fraction(100 * batch.parts[0]["nl"], batch.mix_nl)


def codes(record):
    return [mark["code"] for mark in record.marks]


def test_a_leftover_of_24_at_20_percent_and_8_of_oil_make_15_percent(ground):
    """24 fl oz left + 8 fl oz of oil -> 15 %."""
    batch = ground.batch()
    ground.line(ground.session(), batch, "40")
    left = ground.leftover(batch, "24")

    made = Batch.objects.get(id=ground.top_up({"leftover": str(left)}, carrier_volume=fl_oz("8")))

    (part,) = made.parts
    assert round(percent(made), 4) == 15
    assert abs(part["nl"] - Fraction("4.8") * FL_OZ) <= 2
    assert (part["volume"], part["registration_no"]) == (None, "99990-101")
    assert made.poured_from[0]["volume"] | {"nl": 0} == {"value": "24", "unit": "fl_oz", "nl": 0}
    assert "sum_differs" not in codes(made)
    old = Batch.objects.get(id=batch)
    assert (old.left_nl, old.lines, [each["batch"] for each in old.poured_on]) == (0, 2, [str(made.id)])
    assert old.parts_left[0]["left_nl"] == 0
    leftover = Leftover.objects.get(id=left)
    assert (leftover.end, leftover.ended_at) == ("poured_on", made.mixed_at)


def test_other_figures_come_out_as_reckoned_by_hand(ground):
    """30 of a batch at 20 % and 6.4 fl oz of fresh product in 64: (6 + 6.4) / 64 = 19.375 %."""
    batch = ground.batch()
    fresh = {"product": str(ground.product), "volume": fl_oz("6.4"), "planned": fl_oz("6.5")}

    made = Batch.objects.get(id=ground.top_up(from_batch(batch, "30"), mix="64", parts=[fresh]))

    (part,) = made.parts
    assert abs(percent(made) - Fraction("19.375")) < Fraction(1, 10**6)
    assert (part["volume"]["value"], part["planned"]["value"]) == ("6.4", "6.5")


def test_a_product_whose_label_was_corrected_meanwhile_stands_by_itself_and_is_used_as_one(ground, coordinator):
    batch = ground.batch()
    ingredient = Product.objects.get(id=ground.product).ingredients[0]
    stronger = [{"active_ingredient": ingredient["active_ingredient"], "ae": {"value": "4.5", "unit": "lb_gal"}}]
    coordinator.does("product", "amend", id=ground.product, ingredients=stronger)
    fresh = {"product": str(ground.product), "volume": fl_oz("3.2")}

    made = ground.top_up(from_batch(batch, "16"), parts=[fresh])
    line = ground.line(ground.session(), made, "32")

    assert [round(part["nl"] / FL_OZ, 3) for part in Batch.objects.get(id=made).parts] == [3.2, 3.2]
    assert [part["nl"] for part in Application.objects.get(id=line.id).products] == [
        part["nl"] for part in Batch.objects.get(id=made).parts
    ]
    (row,) = ProductUse.objects.filter(application=line.id)
    assert row.product_nl == sum(part["nl"] for part in line.products)


def test_an_adjuvant_comes_with_its_share(ground):
    batch = ground.batch(adjuvants=[{"name": "blue dye", "volume": fl_oz("0.64")}])

    made = Batch.objects.get(
        id=ground.top_up(from_batch(batch, "16"), adjuvants=[{"name": "oil", "volume": fl_oz("1")}])
    )

    held = {each["name"]: each["nl"] for each in made.adjuvants}
    assert held == {"blue dye": pytest.approx(nl("0.16"), abs=2), "oil": nl("1")}


def test_partners_on_a_label_may_meet_and_fresh_ones_that_are_none_are_marked(ground, coordinator):
    ester, other = tank_mix(ground)["parts"]
    assert "not_marked_compatible" in codes(Batch.objects.get(id=ground.batch(parts=[ester, other])))
    coordinator.does("product", "amend", id=other["product"], compatible_with=[ester["product"]])

    made = Batch.objects.get(id=ground.top_up(from_batch(ground.batch(), "24"), parts=[other]))

    assert [part["product"] for part in made.parts] == [other["product"], ester["product"]]
    assert "not_marked_compatible" not in codes(Batch.objects.get(id=ground.batch(parts=[ester, other])))
    assert "not_marked_compatible" not in codes(made)


def test_undiluted_product_goes_into_any_carrier(ground):
    bare = ground.batch(
        carrier="none", mix=fl_oz("10"), parts=[{"product": str(ground.product), "volume": fl_oz("10")}]
    )

    made = Batch.objects.get(id=ground.top_up(from_batch(bare, "6.4"), carrier="water"))

    assert round(percent(made), 4) == 20


def test_voided_it_gives_back_and_reinstated_it_takes_again(ground, coordinator):
    batch = ground.batch()
    left = ground.leftover(batch, "24")
    made = ground.top_up({"leftover": str(left)})
    before = Batch.objects.get(id=made)

    coordinator.does("batch", "void", id=made, reason="typed twice")

    old = Batch.objects.get(id=batch)
    assert (old.used_nl, old.used_parts, old.lines, old.poured_on) == (0, [0], 0, [])
    assert Leftover.objects.get(id=left).end == ""
    assert list(PouredFrom.objects.values_list("parent_id", "nl")) == [(batch, 0)]
    coordinator.does("batch", "reinstate", id=made, reason="it was real")
    again = Batch.objects.get(id=made)
    assert (again.parts, again.poured_from) == (before.parts, before.poured_from)
    assert Batch.objects.get(id=batch).used_nl == nl("24")
    assert Leftover.objects.get(id=left).end == "poured_on"
    assert PouredFrom.objects.get().nl == nl("24")


def test_it_is_corrected_and_keeps_what_it_inherited(ground, coordinator):
    batch = ground.batch()
    made = ground.top_up(from_batch(batch, "24"))

    coordinator.does("batch", "amend", id=made, mix=fl_oz("48"), mixed_at="2027-05-03T09:00:00-05:00", reason="misread")

    now = Batch.objects.get(id=made)
    assert round(percent(now), 4) == 10
    assert Batch.objects.get(id=batch).poured_on[0]["at"] == "2027-05-03T14:00:00.000000Z"


def test_what_was_made_of_it_must_be_voided_first_through_the_generations(ground, coordinator):
    first = ground.batch()
    second = ground.top_up(from_batch(first, "24"))
    third = ground.top_up(from_batch(second, "16"), from_batch(first, "8"))

    for batch in (first, second):
        with pytest.raises(BatchInUse):
            coordinator.does("batch", "void", id=batch, reason="typed twice")
        with pytest.raises(BatchInUse):
            coordinator.does("batch", "amend", id=batch, mix=fl_oz("70"), reason="typed twice")
    for batch in (third, second, first):
        coordinator.does("batch", "void", id=batch, reason="typed twice")
    assert not Batch.objects.filter(voided_at=None).exists()


# -- what was poured in, against the finished mix ---------------------------------------------------


@pytest.mark.parametrize(
    ("oil", "is_marked"),
    # 12.8 of product, 64 in all; 1 % of each amount: 0.128 + 0.64 and 1 % of the oil are 1.28 fl oz
    [("51.2", False), ("52.4", False), ("52.6", True), ("50", False), ("49.8", True)],
)
def test_parts_and_carrier_that_do_not_make_the_mix_are_marked(ground, oil, is_marked):
    """Component sum = total within tolerance, else flagged. The tolerance is common practice, no source."""
    batch = Batch.objects.get(id=ground.batch(carrier_volume=fl_oz(oil), mixed_where="tailgate, north gate"))

    assert ("sum_differs" in codes(batch)) is is_marked
    assert batch.mixed_where == "tailgate, north gate"


def test_the_mark_names_both_sums_and_goes_with_a_correction(ground, coordinator):
    id = ground.batch(carrier_volume=fl_oz("40"))
    (mark,) = [mark for mark in Batch.objects.get(id=id).marks if mark["code"] == "sum_differs"]
    assert "52.8 US fluid ounces, the finished mix to 64 US fluid ounces" in mark["detail"]

    coordinator.does("batch", "amend", id=id, carrier_volume=None, reason="not measured after all")

    assert "sum_differs" not in codes(Batch.objects.get(id=id))


def test_more_poured_in_than_came_out_is_marked_without_a_measured_carrier(ground):
    made = Batch.objects.get(id=ground.top_up(from_batch(ground.batch(), "40")))

    assert "sum_differs" in codes(made)


# -- any generations ---------------------------------------------------------------------------------


POUR = st.tuples(st.integers(0, 9), st.integers(1, 10**4))
MIXING = st.tuples(st.lists(POUR, min_size=1, max_size=2), st.integers(0, 500), st.integers(0, 2000))


def test_what_is_reinstated_follows_a_batch_that_was_corrected_meanwhile(ground, coordinator):
    both = tank_mix(ground)["parts"]
    old = ground.batch()
    new = ground.top_up(from_batch(old, "32"), mix="64")
    coordinator.does("batch", "void", id=new, reason="entered twice")
    coordinator.does("batch", "amend", id=old, parts=both, reason="one was left out")

    coordinator.does("batch", "reinstate", id=new, reason="it was another one")
    line = ground.line(ground.session(), new, "32")

    assert [part["product"] for part in line.products] == [part["product"] for part in both]
    assert [abs(part["nl"] - nl(ounces)) <= 1 for part, ounces in zip(line.products, ("3.2", "0.8"), strict=True)]
    assert Batch.objects.get(id=new).used_parts == [part["nl"] for part in line.products]


def test_a_drop_whose_share_of_product_rounds_to_nothing_is_poured_in_and_used(ground):
    new = ground.top_up({"batch": str(ground.batch()), "volume": ml(1)})

    line = ground.line(ground.session(), new, "5")

    assert (Batch.objects.get(id=new).parts, line.products) == ([], [])
    assert line.mix_nl == nl("5")


def test_a_batch_is_not_reinstated_in_another_carrier_than_what_it_was_topped_up_from(ground, coordinator):
    old = ground.batch()
    new = ground.top_up(from_batch(old, "32"), mix="64")
    coordinator.does("batch", "void", id=new, reason="entered twice")
    coordinator.does("batch", "amend", id=old, carrier="water", reason="it was water")

    with pytest.raises(CarriersDiffer):
        coordinator.does("batch", "reinstate", id=new, reason="it was another one")


def test_a_leftover_ends_when_the_batch_was_mixed_that_it_was_poured_into(ground, coordinator):
    left = ground.leftover(ground.batch(), "40")
    new = ground.top_up({"leftover": str(left)}, mix="64")

    coordinator.does("batch", "amend", id=new, mixed_at="2027-05-03T09:00:00-05:00", reason="it was Monday")
    assert Leftover.objects.get(id=left).ended_at == datetime(2027, 5, 3, 14, tzinfo=UTC)

    coordinator.does("leftover", "amend", id=left, volume=fl_oz("41"), reason="misread")
    coordinator.does("batch", "void", id=new, reason="poured back")
    assert (Leftover.objects.get(id=left).ended_at, Leftover.objects.get(id=left).end) == (None, "")


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture], derandomize=True)
@given(product=st.integers(1, 5000), generations=st.lists(MIXING, min_size=1, max_size=5))
def test_nothing_is_lost_through_generations_and_strengths_are_those_of_the_rules(ground, product, generations):
    """Beside the books stands ``rules.mixes.combine`` in exact fractions: each pour rounds a product once."""
    total = 10**4
    batches = [_mixed(ground, total, product)]
    exact = [Composition(carrier="oil", total_nl=total, products={"p": Fraction(product)})]
    for pours, fresh, oil in generations:
        _generation(ground, batches, exact, pours, fresh, oil)

    records = [Batch.objects.get(id=id) for id in batches]
    poured = [nl for record in records for part in record.parts if part["volume"] for nl in [part["volume"]["nl"]]]
    assert sum(left["left_nl"] for record in records for left in record.parts_left) == sum(poured)
    for record, composition in zip(records, exact, strict=True):
        held = sum(part["nl"] for part in record.parts)
        assert abs(held - composition.volume_nl("p")) <= 2 * len(batches)
        assert record.used_nl == sum(each["nl"] for each in record.poured_on)


def _generation(ground, batches, exact, pours, fresh, oil):
    taken: dict[int, int] = {}
    for which, wanted in pours:
        place = which % len(batches)
        left = Batch.objects.get(id=batches[place]).left_nl - taken.get(place, 0)
        taken[place] = taken.get(place, 0) + min(wanted, left)
    taken = {place: nl for place, nl in taken.items() if nl}
    if not taken:
        return
    sources = [portion(exact[place], volume_nl=nl) for place, nl in taken.items()]
    if fresh:
        sources.append(Composition(carrier=None, total_nl=fresh, products={"p": Fraction(fresh)}))
    if oil:
        sources.append(Composition(carrier="oil", total_nl=oil, products={}))
    whole = sources[0]
    for source in sources[1:]:
        whole = combine(whole, source)
    told = [{"batch": str(batches[place]), "volume": ml(nl)} for place, nl in taken.items()]
    batches.append(_mixed(ground, sum(taken.values()) + fresh + oil, fresh, told))
    exact.append(whole)


def _mixed(ground, total, product, poured=()):
    parts = [{"product": str(ground.product), "volume": ml(product)}] if product else []
    return ground.batch(mix=ml(total), parts=parts, poured_from=list(poured))
