"""What is in a mix, through any number of top-ups."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stewardship.rules.mixes import Composition, carrier_to_dilute, combine, mix_from_pour, portion
from stewardship.rules.refusals import RuleViolation
from tests.stewardship.rules.mixes.measures import FL_OZ_NL

UNKNOWN = Composition(carrier=None, total_nl=20 * FL_OZ_NL, products=None)
A_AND_B = frozenset({"a", "b"})


def ester_in_oil(ounces: int, share: Fraction = Fraction(1, 5)) -> Composition:
    whole = ounces * FL_OZ_NL
    return mix_from_pour(products={"ester": whole * share}, carrier="oil", carrier_nl=whole * (1 - share))


def mix_of(carrier: str | None = "water", carrier_nl: int = 10, **products: int) -> Composition:
    return mix_from_pour(products=products, carrier=carrier, carrier_nl=carrier_nl)


@st.composite
def mixes(draw):
    amounts = st.integers(1, 10**12)
    return mix_from_pour(
        products=draw(st.dictionaries(st.sampled_from(["a"]), amounts, min_size=1)),
        carrier="oil",
        carrier_nl=draw(st.integers(0, 10**12)),
        adjuvants=draw(st.dictionaries(st.sampled_from(["dye", "spreader"]), amounts)),
        dry_adjuvants=draw(st.dictionaries(st.sampled_from(["salt"]), amounts)),
    )


def test_24_ounces_left_at_20_percent_and_8_of_oil_are_15_percent():
    oil = mix_from_pour(products={}, carrier="oil", carrier_nl=8 * FL_OZ_NL)

    diluted = combine(ester_in_oil(24), oil)

    assert diluted.fraction("ester") == Fraction(15, 100)
    assert diluted.total_nl == 32 * FL_OZ_NL
    assert carrier_to_dilute(ester_in_oil(24), key="ester", fraction=Fraction(15, 100)) == 8 * FL_OZ_NL


def test_a_leftover_keeps_its_strength():
    left = portion(ester_in_oil(64), volume_nl=24 * FL_OZ_NL)

    assert left == ester_in_oil(24)
    assert left.volume_nl("ester") == Fraction("4.8") * FL_OZ_NL
    assert left.carrier_nl == Fraction("19.2") * FL_OZ_NL


def test_topping_up_with_another_strength_is_computed_from_both_parents_for_three_generations():
    mix = ester_in_oil(24)
    for share in (Fraction(1, 4), Fraction(1, 10), Fraction(1, 20)):
        mix = combine(mix, ester_in_oil(24, share))

    assert mix.fraction("ester") == (Fraction(20, 100) + Fraction(25, 100) + Fraction(10, 100) + Fraction(5, 100)) / 4


def test_a_dry_product_is_grams_in_a_litre_and_takes_no_room():
    mix = mix_from_pour(products={}, carrier="water", carrier_nl=2 * 10**9, dry_products={"wp": 5 * 10**6})

    assert mix.g_per_l("wp") == Fraction(5, 2)
    assert mix.total_nl == 2 * 10**9
    assert mix.product_keys == {"wp"}


def test_undiluted_product_has_no_carrier_and_goes_into_any():
    pure = mix_from_pour(products={"a": 10})

    assert pure.carrier is None
    assert pure.fraction("a") == 1
    assert combine(pure, mix_of(a=10)).carrier == "water"


def test_a_product_that_is_not_in_the_mix_has_no_strength_in_it():
    assert mix_of(a=1).fraction("b") == 0
    assert mix_of(a=1).g_per_l("b") == 0


@given(mixes(), mixes())
def test_pouring_together_is_commutative(one, other):
    assert combine(one, other) == combine(other, one)


@given(mixes(), mixes(), mixes())
def test_pouring_together_is_associative(one, other, third):
    assert combine(combine(one, other), third) == combine(one, combine(other, third))


@given(mixes(), mixes())
def test_nothing_is_lost_or_gained(one, other):
    both = combine(one, other)

    assert both.total_nl == one.total_nl + other.total_nl
    assert both.carrier_nl == one.carrier_nl + other.carrier_nl
    assert both.volume_nl("a") == one.volume_nl("a") + other.volume_nl("a")
    assert both.mass_ug("salt") == one.mass_ug("salt") + other.mass_ug("salt")


def test_products_marked_compatible_are_poured_together():
    both = combine(mix_of(a=10), mix_of(b=30), compatible=[A_AND_B])

    assert (both.fraction("a"), both.fraction("b")) == (Fraction(1, 6), Fraction(1, 2))


def test_products_already_together_in_one_mix_need_no_mark():
    assert combine(mix_of(a=10, b=10), mix_of(a=10)).volume_nl("a") == 20


@pytest.mark.parametrize(
    ("code", "call"),
    [
        ("contents_unknown", lambda: combine(UNKNOWN, ester_in_oil(24))),
        ("contents_unknown", lambda: combine(ester_in_oil(24), UNKNOWN)),
        ("contents_unknown", lambda: portion(UNKNOWN, volume_nl=1)),
        ("contents_unknown", lambda: carrier_to_dilute(UNKNOWN, key="ester", fraction=Fraction(1, 10))),
        ("contents_unknown", lambda: UNKNOWN.fraction("ester")),
        ("contents_unknown", lambda: UNKNOWN.mass_ug("ester")),
        ("contents_unknown", lambda: UNKNOWN.carrier_nl),
        ("contents_unknown", lambda: UNKNOWN.product_keys),
        ("carriers_differ", lambda: combine(ester_in_oil(24), mix_of(ester=10))),
        ("products_not_compatible", lambda: combine(mix_of(a=10), mix_of(b=10))),
        ("leftover_too_weak", lambda: carrier_to_dilute(ester_in_oil(24), key="ester", fraction=Fraction(21, 100))),
        ("leftover_too_weak", lambda: carrier_to_dilute(ester_in_oil(24), key="other", fraction=Fraction(1, 100))),
        ("parts_above_100", lambda: Composition(carrier="oil", total_nl=10, products={"a": Fraction(11)})),
        ("carrier_missing", lambda: mix_of(carrier=None, a=10)),
        ("amount_not_positive", lambda: mix_of(a=0)),
        ("amount_not_positive", lambda: mix_of(carrier_nl=-1, a=10)),
        ("amount_not_positive", lambda: mix_of(carrier_nl=0)),
        ("amount_not_positive", lambda: portion(mix_of(a=1), volume_nl=0)),
    ],
)
def test_what_cannot_be_poured_together_is_refused_by_code(code, call):
    with pytest.raises(RuleViolation) as refusal:
        call()

    assert refusal.value.code == code
    assert refusal.value.message.endswith(".")


def test_a_leftover_at_the_strength_wanted_takes_no_carrier():
    assert carrier_to_dilute(ester_in_oil(24), key="ester", fraction=Fraction(1, 5)) == 0


def test_a_full_mix_of_parts_leaves_no_carrier_and_one_more_nanolitre_is_refused():
    assert Composition(carrier="oil", total_nl=10, products={"a": Fraction(10)}).carrier_nl == 0
