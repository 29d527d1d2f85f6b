"""Plans: what to pour, to the marks, and what that makes."""

from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stewardship.rules.mixes import DryPart, Part, Wanted, mix_from_pour, plan_mix, portion
from stewardship.rules.refusals import RuleViolation
from tests.published import printed_number, published, within_print
from tests.stewardship.rules.mixes.measures import FL_OZ_NL, NL, pct

MIX_NL = 1_892_705_892  # 64 fl oz
TEN_ML = 10 * 10**6
ESTER = Part(key="ester", fraction=Fraction(1, 5))
DYE = Part(key="dye", fraction=Fraction(1, 200), finest_mark_nl=10**6)
A_AND_B = frozenset({"a", "b"})


def wanted(**changes) -> Wanted:
    return Wanted(**{"mix_nl": MIX_NL, "parts": (ESTER,), "carrier": "oil", **changes})


def liquid(key: str, percent: int | str, **more) -> Part:
    return Part(key=key, fraction=Fraction(percent) / 100, **more)


def leftover(volume_nl: int, percent: int = 20, key: str = "ester", carrier: str = "oil"):
    mix = mix_from_pour(products={key: percent}, carrier=carrier, carrier_nl=100 - percent)
    return portion(mix, volume_nl=volume_nl)


def poured_nl(plan) -> int:
    return sum(pour.poured for pour in plan.pours if pour.dimension == "volume")


def test_64_ounces_at_20_percent_take_12_8_ounces_of_product():
    plan = plan_mix(wanted())

    assert [(pour.key, pour.planned, pour.poured) for pour in plan.pours] == [("ester", 378_541_178, 378_541_178)]
    assert plan.carrier_nl == MIX_NL - 378_541_178
    assert plan.total_nl == MIX_NL
    assert plan.notes == ()


@pytest.mark.parametrize("row", published("cup_marks"), ids=str)
def test_a_cup_with_marks_makes_a_strength_that_is_told(row):
    mix_nl = round(printed_number(row["mix_fl_oz"]) * FL_OZ_NL)
    mark_nl = int(printed_number(row["mark_ml"]) * NL["ml"])
    part = Part(key="p", fraction=pct(row["strength_pct"]))

    plan = plan_mix(Wanted(mix_nl=mix_nl, parts=(part,), carrier="water", finest_mark_nl=mark_nl))

    [pour] = plan.pours
    assert within_print(round(pour.planned / FL_OZ_NL, 4), row["planned_fl_oz"])
    assert within_print(pour.planned / NL["ml"], row["planned_ml"])
    assert within_print(pour.poured / NL["ml"], row["poured_ml"])
    assert plan.makes.fraction("p") == Fraction(380 * 10**6, mix_nl)
    assert within_print(100 * plan.makes.fraction("p"), row["made_pct"])
    assert plan.carrier_nl == mix_nl - 380 * 10**6


def test_under_a_ceiling_the_mark_below_is_poured():
    plan = plan_mix(wanted(finest_mark_nl=TEN_ML, whole_down=True))

    assert plan.pours[0].poured == 370 * 10**6
    assert plan.makes.fraction("ester") < Fraction(1, 5)


@pytest.mark.parametrize(
    ("amount", "nearest", "below"),
    [(10, 10, 10), (14, 10, 10), (15, 10, 10), (16, 20, 10), (19, 20, 10), (20, 20, 20), (25, 20, 20)],
)
def test_amounts_go_to_the_nearest_mark_and_of_two_to_the_weaker_mix(amount, nearest, below):
    request = {"mix_nl": 100, "parts": (liquid("p", amount),), "finest_mark_nl": 10}

    assert plan_mix(wanted(**request)).pours[0].poured == nearest
    assert plan_mix(wanted(**request, whole_down=True)).pours[0].poured == below


def test_a_mark_of_a_rounded_ounce_stays_exact():
    plan = plan_mix(wanted(finest_mark_nl=FL_OZ_NL))

    assert plan.pours[0].poured == round(13 * FL_OZ_NL)


def test_steps_are_carrier_to_half_then_dry_then_product_then_dye_then_carrier_to_the_line():
    dry = DryPart(key="granules", grams_per_l=Fraction(2))

    plan = plan_mix(wanted(parts=(ESTER, dry), adjuvants=(DYE,), finest_mark_nl=TEN_ML, compatible=[]))

    assert [step.number for step in plan.steps] == [1, 2, 3, 4, 5]
    assert [(step.what, step.key, step.to) for step in plan.steps] == [
        ("carrier", "oil", "half"),
        ("product", "granules", None),
        ("product", "ester", None),
        ("adjuvant", "dye", None),
        ("carrier", "oil", "line"),
    ]
    assert plan.steps[0].level_nl == MIX_NL // 2
    assert plan.steps[-1].level_nl == plan.total_nl == MIX_NL
    assert plan.makes.g_per_l("granules") * MIX_NL / 1000 == round(2 * MIX_NL / 1000)
    assert plan.pours[2].poured == 9 * 10**6


def test_a_product_used_undiluted_is_one_step_without_carrier_common_practice_no_source():
    """An 8.8 % triclopyr amine goes on undiluted."""
    plan = plan_mix(wanted(parts=(liquid("amine_8_8", 100, undiluted_only=True),), carrier=None))

    assert [(step.number, step.what, step.key, step.amount, step.to) for step in plan.steps] == [
        (1, "product", "amine_8_8", MIX_NL, "line")
    ]
    assert (plan.carrier, plan.carrier_nl, plan.makes.fraction("amine_8_8")) == (None, 0, 1)
    assert plan.notes == ()


def test_undiluted_to_a_mark_the_total_is_what_is_poured():
    plan = plan_mix(wanted(parts=(liquid("p", 100),), carrier=None, finest_mark_nl=TEN_ML))

    assert plan.total_nl == plan.pours[0].poured == 1_890 * 10**6
    assert plan.makes.fraction("p") == 1


def test_marks_never_overflow_the_tank():
    plan = plan_mix(wanted(mix_nl=96, parts=(liquid("p", 100),), carrier=None, finest_mark_nl=10))

    assert plan.total_nl == 90


def test_a_strong_mix_takes_all_its_carrier_first():
    plan = plan_mix(wanted(mix_nl=100, parts=(liquid("p", 80),)))

    assert [(step.what, step.amount, step.to) for step in plan.steps] == [
        ("carrier", 20, None),
        ("product", 80, "line"),
    ]


def test_an_undiluted_only_product_that_is_diluted_is_noted_and_not_refused():
    plan = plan_mix(wanted(parts=(liquid("amine_8_8", 50, undiluted_only=True),)))

    assert [(note.code, note.where) for note in plan.notes] == [("undiluted_only", "amine_8_8")]


@pytest.mark.parametrize(("compatible", "codes"), [([], ["compatibility_unknown"]), ([A_AND_B], [])])
def test_two_products_not_marked_compatible_are_noted(compatible, codes):
    plan = plan_mix(wanted(parts=(liquid("a", 2), liquid("b", 3)), compatible=compatible))

    assert [note.code for note in plan.notes] == codes


def test_a_leftover_counts_towards_the_mix_that_it_is_topped_up_to():
    plan = plan_mix(wanted(mix_nl=64_000, leftover=leftover(24_000, percent=15)))

    assert [(pour.key, pour.poured) for pour in plan.pours] == [("ester", 64_000 // 5 - 3_600)]
    assert (plan.leftover_nl, plan.carrier_nl, plan.total_nl) == (24_000, 30_800, 64_000)
    assert plan.makes.fraction("ester") == Fraction(1, 5)
    assert [(step.what, step.to) for step in plan.steps] == [
        ("leftover", None),
        ("carrier", "half"),
        ("product", None),
        ("carrier", "line"),
    ]


def test_a_stronger_leftover_is_thinned_while_it_fits():
    plan = plan_mix(wanted(mix_nl=64_000, leftover=leftover(32_000, percent=40)))

    assert [(pour.planned, pour.poured) for pour in plan.pours] == [(0, 0)]
    assert [(step.what, step.amount) for step in plan.steps] == [("leftover", 32_000), ("carrier", 32_000)]
    assert plan.makes.fraction("ester") == Fraction(1, 5)


def test_a_leftover_that_is_the_mix_wanted_needs_nothing():
    plan = plan_mix(wanted(mix_nl=24_000, leftover=leftover(24_000), finest_mark_nl=10))

    assert [step.what for step in plan.steps] == ["leftover"]
    assert plan.makes == leftover(24_000)


def test_the_carrier_of_a_leftover_serves_where_none_is_named():
    assert plan_mix(wanted(carrier=None, leftover=leftover(24_000))).carrier == "oil"


def test_what_a_leftover_brings_along_is_told():
    request = wanted(parts=(liquid("a", 2),), leftover=leftover(24_000, key="b"), compatible=[A_AND_B])

    plan = plan_mix(request)

    assert [(note.code, note.where) for note in plan.notes] == [("leftover_adds", "b")]
    assert plan.makes.volume_nl("b") == 4_800


@pytest.mark.parametrize(("held_nl", "refused"), [(20, False), (21, False), (22, True)])
def test_one_nanolitre_too_much_in_a_leftover_is_rounding_and_two_are_too_strong(held_nl, refused):
    old = mix_from_pour(products={"ester": held_nl}, carrier="oil", carrier_nl=30)

    if refused:
        with pytest.raises(RuleViolation, match="already holds more of ester"):
            plan_mix(wanted(mix_nl=100, leftover=old))
    else:
        assert plan_mix(wanted(mix_nl=100, leftover=old)).pours[0].planned == 0


REFUSED = {
    "amount_not_positive": [{"mix_nl": 0}, {"mix_nl": -1}, {"finest_mark_nl": 0}],
    "strength_not_positive": [{"parts": (liquid("p", 0),)}, {"parts": (DryPart(key="d", grams_per_l=Fraction(0)),)}],
    "concentrate_too_weak": [{"parts": (liquid("p", 101),)}],
    "nothing_to_mix": [{"parts": ()}],
    "part_twice": [{"parts": (ESTER, ESTER)}, {"adjuvants": (ESTER,)}],
    "parts_above_100": [{"parts": (liquid("a", 60), liquid("b", 41))}, {"adjuvants": (liquid("dye", 81),)}],
    "carrier_missing": [{"carrier": None}],
    "mark_too_coarse": [
        {"finest_mark_nl": 378_541_179},
        {"adjuvants": (liquid("dye", "0.5"),), "finest_mark_nl": TEN_ML},
    ],
    "carriers_differ": [{"leftover": leftover(24_000, carrier="water")}],
    "products_not_compatible": [{"leftover": leftover(24_000, key="other")}],
    "leftover_too_large": [{"leftover": leftover(MIX_NL + 1)}],
    "leftover_too_strong": [{"mix_nl": 64_000, "leftover": leftover(33_000, percent=40)}],
    "leftover_too_weak": [{"mix_nl": 25_000, "leftover": leftover(24_000, percent=10)}],
}


@pytest.mark.parametrize(("code", "changes"), [(code, changes) for code, cases in REFUSED.items() for changes in cases])
def test_a_plan_that_cannot_be_poured_is_refused_by_code(code, changes):
    with pytest.raises(RuleViolation) as refusal:
        plan_mix(wanted(**changes))

    assert refusal.value.code == code
    assert refusal.value.message.endswith(".")


def test_a_leftover_of_unknown_contents_is_never_topped_up():
    unknown = type(leftover(10))(carrier="oil", total_nl=20, products=None)

    with pytest.raises(RuleViolation) as refusal:
        plan_mix(wanted(leftover=unknown))

    assert refusal.value.code == "contents_unknown"


def test_parts_of_exactly_100_percent_and_a_mark_of_exactly_the_amount_are_planned():
    plan = plan_mix(wanted(mix_nl=101, parts=(liquid("a", 50), liquid("b", 50)), carrier=None))
    assert [pour.planned for pour in plan.pours] == [51, 50]

    assert plan_mix(wanted(mix_nl=100, finest_mark_nl=20)).pours[0].poured == 20


shares = st.fractions(Fraction(1, 1000), Fraction(1, 4), max_denominator=1000)


@given(
    mix_nl=st.integers(10**6, 10**13),
    fractions=st.lists(shares, min_size=1, max_size=4),
    mark=st.none() | st.integers(1, 10**5),
    left=st.integers(0, 100),
    down=st.booleans(),
)
def test_what_is_poured_and_the_carrier_add_up_to_the_mix_exactly(mix_nl, fractions, mark, left, down):
    parts = tuple(Part(key=str(place), fraction=share) for place, share in enumerate(fractions))
    old = portion(
        mix_from_pour(products={"0": 1}, carrier="water", carrier_nl=2000), volume_nl=left * mix_nl // 200 or 1
    )
    pairs = [frozenset({"0", part.key}) for part in parts]
    request = wanted(
        mix_nl=mix_nl,
        parts=parts,
        carrier="water",
        leftover=old if left else None,
        finest_mark_nl=mark,
        whole_down=down,
        compatible=pairs,
    )
    assume(left == 0 or sum(fractions) < Fraction(1, 4))
    assume(mark is None or all(mix_nl * share > 2 * mark for share in fractions))

    plan = plan_mix(request)

    if sum(fractions) < 1:
        assert plan.leftover_nl + poured_nl(plan) + plan.carrier_nl == plan.total_nl == mix_nl
    assert plan.total_nl <= mix_nl
    assert plan.carrier_nl >= 0
    assert sum(step.amount for step in plan.steps) == plan.total_nl == plan.makes.total_nl
    for part, pour in zip(parts, plan.pours, strict=True):
        assert abs(plan.makes.fraction(part.key) - part.fraction) <= Fraction((mark or 1) + 1, mix_nl)
        assert not down or pour.poured <= pour.planned
