"""Shares: every nanolitre of a batch ends on exactly one line."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stewardship.rules.refusals import RuleViolation
from stewardship.rules.shares import share_nl, split_exactly, substance_ug, take_nl
from stewardship.rules.units import Dimension, to_base

BATCH_NL, PRODUCT_NL = 1_892_705_892, 378_541_178  # 64 and 12.8 fl oz


def ounces(value: str) -> int:
    return to_base(value, "fl_oz", Dimension.VOLUME)


def use(total_nl: int, product_nl: int, takes: list[int]) -> list[int]:
    """Return the product of each line as takes empty a batch one after another."""
    lines: list[int] = []
    mix_left = total_nl
    for mix in takes:
        left = product_nl - sum(lines)
        lines.append(
            share_nl(product_nl=product_nl, total_nl=total_nl, mix_nl=mix, mix_left_nl=mix_left, product_left_nl=left)
        )
        mix_left -= mix
    return lines


@st.composite
def emptied_batches(draw):
    takes = draw(st.lists(st.integers(1, 10**10), min_size=1, max_size=30))
    product = draw(st.integers(0, sum(takes)))
    return takes, product


def test_40_ounces_used_as_25_and_15_are_5_and_3_ounces_of_product():
    takes = [ounces("25"), ounces("15")]

    lines = use(BATCH_NL, PRODUCT_NL, takes)

    assert [abs(line - ounces(text)) <= 1 for line, text in zip(lines, ("5", "3"), strict=True)] == [True, True]
    assert abs(sum(lines) - ounces("8")) <= 1


def test_the_line_that_leaves_no_mix_takes_all_product_left():
    takes = [ounces("25"), ounces("15")]
    takes.append(BATCH_NL - sum(takes))

    lines = use(BATCH_NL, PRODUCT_NL, takes)

    assert sum(lines) == PRODUCT_NL
    assert abs(lines[2] - ounces("4.8")) <= 1


@given(emptied_batches())
def test_lines_of_an_emptied_batch_add_up_to_it_exactly(batch):
    takes, product = batch

    lines = use(sum(takes), product, takes)

    assert sum(lines) == product
    assert all(line >= 0 for line in lines)


@given(emptied_batches())
def test_no_line_but_the_last_ones_strays_from_its_exact_share(batch):
    takes, product = batch

    lines = use(sum(takes), product, takes)

    for line, mix in zip(lines, takes, strict=True):
        assert abs(line - Fraction(product * mix, sum(takes))) <= Fraction(len(takes), 2) + 1


def test_half_a_nanolitre_goes_to_the_even_side():
    def first(product_nl: int) -> int:
        return share_nl(product_nl=product_nl, total_nl=2, mix_nl=1, mix_left_nl=2, product_left_nl=product_nl)

    assert [first(product) for product in (1, 3, 5)] == [0, 2, 2]


def test_a_share_never_exceeds_the_product_left():
    assert use(10, 6, [1] * 10) == [1, 1, 1, 1, 1, 1, 0, 0, 0, 0]


@pytest.mark.parametrize(
    ("wanted", "entries", "taken"),
    [(1, 1, 1), (99, 1, 99), (100, 1, 100), (101, 1, 100), (102, 2, 100), (156, 56, 100)],
)
def test_a_take_may_exceed_what_is_left_by_one_base_unit_for_each_entry(wanted, entries, taken):
    assert take_nl(left_nl=100, wanted_nl=wanted, entries=entries) == taken


@pytest.mark.parametrize(("left", "wanted", "entries"), [(100, 102, 1), (100, 103, 2), (0, 1, 1), (-1, 1, 9)])
def test_a_take_beyond_rounding_or_from_an_empty_batch_is_refused(left, wanted, entries):
    with pytest.raises(RuleViolation) as refusal:
        take_nl(left_nl=left, wanted_nl=wanted, entries=entries)

    assert refusal.value.code == "batch_overdrawn"
    assert refusal.value.facts == {"left_nl": left, "wanted_nl": wanted}


@pytest.mark.parametrize("wanted", [0, -1])
def test_a_take_of_nothing_is_refused(wanted):
    with pytest.raises(RuleViolation) as refusal:
        take_nl(left_nl=100, wanted_nl=wanted)

    assert refusal.value.code == "amount_not_positive"


def test_128_rounded_ounces_empty_a_gallon_and_nobody_is_overdrawn():
    gallon, ounce = to_base("1", "gal", Dimension.VOLUME), ounces("1")
    left = gallon

    for entry in range(1, 129):
        left -= take_nl(left_nl=left, wanted_nl=ounce, entries=entry)

    assert 128 * ounce - gallon == 56
    assert left == 0


@pytest.mark.parametrize(
    ("mix", "code"), [(0, "amount_not_positive"), (-5, "amount_not_positive"), (11, "batch_overdrawn")]
)
def test_a_line_of_nothing_or_of_more_than_is_left_is_refused(mix, code):
    with pytest.raises(RuleViolation) as refusal:
        share_nl(product_nl=5, total_nl=20, mix_nl=mix, mix_left_nl=10, product_left_nl=3)

    assert refusal.value.code == code


def test_the_acid_in_8_ounces_of_a_4_pound_product_is_a_quarter_of_a_pound():
    strength = 4 * Fraction(453_592_370 * 1000, 3_785_411_784)

    assert substance_ug(product_nl=ounces("8"), g_per_l=strength) == pytest.approx(453_592_370 / 4, abs=1)


def test_half_a_microgram_goes_to_the_even_side():
    assert [substance_ug(product_nl=nl, g_per_l=Fraction(500)) for nl in (1, 3, 5)] == [0, 2, 2]


@given(st.integers(0, 10**15), st.lists(st.fractions(0, 10**6, max_denominator=10**4), min_size=1, max_size=40))
def test_a_split_adds_up_exactly_and_no_part_strays_by_a_unit(total, weights):
    if not any(weights):
        weights = [Fraction(1), *weights]

    parts = split_exactly(total, weights)

    assert sum(parts) == total
    assert all(abs(part - total * weight / sum(weights)) < 1 for part, weight in zip(parts, weights, strict=True))


@pytest.mark.parametrize(
    ("total", "weights", "parts"),
    [
        (10, [1, 1, 1], [4, 3, 3]),
        (10, [2, 0, 1], [7, 0, 3]),
        (0, [3, 1], [0, 0]),
        (7, [5], [7]),
        (1, [1, 2, 2], [0, 1, 0]),
    ],
)
def test_units_left_over_go_to_the_largest_remainders_the_earlier_first(total, weights, parts):
    assert split_exactly(total, weights) == parts


@pytest.mark.parametrize(
    ("total", "weights", "code"),
    [
        (10, [0, 0], "shares_missing"),
        (10, [], "shares_missing"),
        (10, [1, -1], "share_negative"),
        (-1, [1], "amount_not_positive"),
    ],
)
def test_a_split_by_nothing_or_of_less_than_nothing_is_refused(total, weights, code):
    with pytest.raises(RuleViolation) as refusal:
        split_exactly(total, weights)

    assert refusal.value.code == code
