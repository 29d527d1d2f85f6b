"""What a piece of ground got in a year, and how it lies to a ceiling."""

from fractions import Fraction

import pytest

from stewardship.rules.area_years import CEILING_UNITS, Sum, Use, added, ratio, taken_out, together, total
from stewardship.rules.mixes.amounts import AmountNotPositive
from stewardship.rules.mixes.ceilings import highest_ratio
from stewardship.rules.units import UNITS, Dimension, to_base
from tests.published import published

ML = 10**6


def product(name="ester", nl=10, active="triclopyr", ai=4, ae=3):
    return {"product": name, "nl": nl, "actives": [{"active_ingredient": active, "ai_ug": ai, "ae_ug": ae}]}


def use(*products, species="knotweed", stems=5):
    return Use(species=species, products=products or (product(),), stems=stems)


def test_the_knotweed_ceiling_is_99_percent_full_by_volume_and_full_by_stems_and_the_highest_decides():
    """1,600 stems of 5 mL on one acre, in four sessions; PNW handbook, node 8533 (pnw_knotweed_ceiling.csv)."""
    assert published("pnw_knotweed_ceiling")
    years = {}
    for _ in range(4):
        years = added(years, 2027, use(product(nl=400 * 5 * ML), stems=400))
    acre = round(UNITS["acre"].per_unit)
    used = {"volume": total(years["2027"], "product_nl").known, "stems": total(years["2027"], "stems").known}
    ceilings = {
        "volume": CEILING_UNITS["qt_acre"].ceiling(Fraction("8.5"), acre),
        "stems": CEILING_UNITS["stems_acre"].ceiling(Fraction(1600), acre),
    }

    assert round(100 * ratio(used["volume"], ceilings["volume"])) == 99
    fullest, full = highest_ratio(used, ceilings)
    assert (fullest, round(full, 9)) == ("stems", 1)
    assert full <= 1


def test_a_line_that_is_taken_out_leaves_nothing_behind():
    one = added({}, 2027, use())
    both = added(one, 2027, use(product(nl=7), stems=None))

    assert taken_out(both, 2027, use(product(nl=7), stems=None)) == one
    assert taken_out(one, 2027, use()) == {}


def test_what_was_given_stays_as_it_is():
    one = added({}, 2027, use())
    before = repr(one)

    added(one, 2027, use())

    assert repr(one) == before


def test_the_order_of_lines_makes_no_difference():
    lines = [use(), use(species="privet"), use(product("salt", active="glyphosate"), product()), use(stems=None)]
    forth, back = {}, {}
    for line in lines:
        forth = added(forth, 2027, line)
    for line in reversed(lines):
        back = added(back, 2027, line)

    assert forth == back


def test_the_stems_of_a_tank_mix_count_once():
    years = added({}, 2027, use(product("a"), product("b"), stems=12))

    assert total(years["2027"], "stems", actives={"triclopyr"}) == Sum(12, 0)
    assert total(years["2027"], "product_nl", actives={"triclopyr"}) == Sum(20, 0, 2)


def test_a_sum_is_of_one_species_of_some_products_or_of_what_holds_an_active():
    years = added({}, 2027, use(product("salt", nl=1, active="glyphosate"), species="privet", stems=3))
    years = added(years, 2027, use(product("ester", nl=20)))
    years = added(years, 2027, use(product("amine", nl=300)))
    cells = years["2027"]

    assert total(cells, "product_nl").known == 321
    assert total(cells, "product_nl", actives={"triclopyr"}).known == 320
    assert total(cells, "product_nl", products={"amine"}).known == 300
    assert total(cells, "product_nl", species="privet").known == 1
    assert total(cells, "stems", products={"salt"}).known == 3
    assert total(cells, "ai_ug", actives={"glyphosate"}).known == 4


def test_a_dry_product_counts_by_weight_and_a_liquid_one_by_volume():
    dry = {"product": "granules", "ug": 900, "actives": [{"active_ingredient": "x", "ai_ug": 80, "ae_ug": None}]}
    years = added(added({}, 2027, use(dry)), 2027, use(product(nl=20)))

    assert total(years["2027"], "product_ug").known == 900
    assert total(years["2027"], "product_nl").known == 20


def test_what_is_not_known_is_counted_and_never_a_zero_in_the_sum():
    years = added({}, 2027, use(product(ai=None, ae=None), stems=None))
    years = added(years, 2027, use())
    cells = years["2027"]

    assert total(cells, "stems") == Sum(5, 1)
    assert total(cells, "ai_ug") == Sum(4, 1, 2)
    assert total(cells, "ae_ug") == Sum(3, 1, 2)


def test_years_stand_apart_and_units_are_put_together_year_by_year():
    one, other = added({}, 2027, use()), added(added({}, 2026, use()), 2027, use())

    whole = together([one, other])

    assert list(whole) == ["2026", "2027"]
    assert total(whole["2027"], "stems").known == 10
    assert whole["2027"] == added(one, 2027, use())["2027"]


@pytest.mark.parametrize("unit", sorted(CEILING_UNITS))
def test_each_unit_of_a_ceiling_divides_by_the_ground_in_base_units(unit):
    stated = CEILING_UNITS[unit]
    by_base = {"nl": Dimension.VOLUME, "ug": Dimension.MASS}
    dimension = by_base.get(stated.measure.rpartition("_")[2])
    each = to_base("2", stated.amount, dimension) if dimension else 2
    ground = round(UNITS[stated.area].per_unit)

    assert abs(stated.ceiling(Fraction(2), ground) - each) < 3, "an area and an amount are each rounded once"
    assert stated.ceiling(Fraction(4), ground) == 2 * stated.ceiling(Fraction(2), ground)


def test_nobody_is_over_a_ceiling_by_rounding():
    """A fluid ounce rounds up by half a nanolitre: 128 of them exceed the gallon by 56 nL."""
    years = {}
    for _ in range(128):
        years = added(years, 2027, use(product(nl=29_573_530)))
    used, ceiling = total(years["2027"], "product_nl"), CEILING_UNITS["gal_acre"].ceiling(Fraction(1), 4_046_856_422)

    assert used.known > ceiling
    assert ratio(used.least, ceiling) <= 1
    assert total(added(years, 2027, use(product(nl=200)))["2027"], "product_nl").least > ceiling


def test_a_ceiling_of_nothing_is_none():
    with pytest.raises(AmountNotPositive):
        ratio(1, Fraction(0))
