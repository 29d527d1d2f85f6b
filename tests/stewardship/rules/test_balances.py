"""Balances: mix = draws + difference + leftover, in whatever order the facts arrive.

The scene of the two people who log one batch is the service's own (64 fl oz mixed, 50 said to be used, 24 measured).
"""

from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stewardship.rules.balances import (
    DRAWN,
    KEPT_NL,
    MOST_OF_MIX,
    PART_OF_AMOUNT,
    Draw,
    Measure,
    Statement,
    balance,
    tolerance_nl,
)
from stewardship.rules.methods import HERBICIDE_METHODS
from stewardship.rules.units import Dimension, to_base

NINE = datetime(2027, 5, 1, 9, tzinfo=UTC)
READ_OFF = Statement("read_off_container")


def nl(ounces: str) -> int:
    return to_base(ounces, "fl_oz", Dimension.VOLUME)


def hours(after_nine: float) -> datetime:
    return NINE + timedelta(hours=after_nine)


def applied(ounces: str, at: float, said: Statement = READ_OFF) -> Draw:
    return Draw("applied", nl(ounces), hours(at), said)


# -- the terms -----------------------------------------------------------------------------------


def test_two_people_who_log_one_batch_are_over_by_ten_ounces_until_one_line_is_voided():
    lines = [applied("25", 1), applied("15", 2), applied("10", 2)]
    leftover = [Measure(nl("24"), hours(4))]

    found = balance(nl("64"), lines, leftover)

    assert abs(found.difference_nl + nl("10")) <= 5  # five entries, each rounded to a nanolitre
    assert not found.balances

    found = balance(nl("64"), lines[:2], leftover)

    assert abs(found.difference_nl) <= 4
    assert found.balances
    assert found.leftover_nl == nl("24")


def test_two_ounces_that_nobody_accounts_for_do_not_balance():
    lines = [applied("23", 1, Statement("read_off_container", "basal_bark", "A")), applied("15", 2)]

    found = balance(nl("64"), lines, [Measure(nl("24"), hours(4))])

    assert abs(found.difference_nl - nl("2")) <= 4
    assert not found.balances


def test_every_kind_of_draw_is_a_term_of_its_own():
    draws = [Draw(what, place + 1, hours(place)) for place, what in enumerate(DRAWN)]

    found = balance(100, draws, [])

    assert found.drawn_nl == {
        "applied": 1, "poured_on": 2, "disposed": 3, "lost": 4, "spilled": 5, "returned": 6,
    }  # fmt: skip
    assert found.left_nl == 100 - 21


def test_a_draw_of_no_such_kind_is_refused():
    with pytest.raises(ValueError, match='no such draw: "evaporated"'):
        balance(100, [Draw("evaporated", 1, NINE)], [])


def test_without_a_measure_the_difference_is_what_the_book_has_left():
    found = balance(nl("64"), [applied("40", 1)], [])

    assert not found.is_measured
    assert found.difference_nl == found.left_nl == nl("64") - nl("40")
    assert found.leftover_nl == 0


def test_a_batch_that_was_used_up_balances_without_a_measure():
    found = balance(nl("64"), [applied("64", 1)], [])

    assert found.difference_nl == 0
    assert found.balances


def test_what_was_drawn_since_the_measure_is_no_longer_expected():
    found = balance(nl("64"), [applied("40", 1), applied("9", 5)], [Measure(nl("23.5"), hours(4))])

    assert abs(found.difference_nl - nl("0.5")) <= 3
    assert found.leftover_nl == nl("23.5") - nl("9")
    assert found.measured_at == hours(4)


def test_more_drawn_since_than_was_there_does_not_balance():
    found = balance(nl("64"), [applied("40", 1), applied("24", 5)], [Measure(nl("20"), hours(4))])

    assert found.leftover_nl < 0
    assert not found.balances


@pytest.mark.parametrize(("drawn_at", "difference"), [(3.99, 0), (4, 0), (4.01, 24)])
def test_a_draw_at_the_moment_of_a_measure_came_before_it(drawn_at, difference):
    found = balance(64, [Draw("applied", 24, hours(drawn_at))], [Measure(40, hours(4))])

    assert (found.difference_nl, found.leftover_nl) == (difference, 40 - difference)


@pytest.mark.parametrize(
    ("ended", "difference"),
    [(None, 0), (hours(5), 0), (hours(4.01), 0), (hours(4), 10), (hours(3.5), 10)],
    ids=["stands", "ended later", "ended just after", "ended at that moment", "ended before"],
)
def test_containers_count_that_stood_when_the_last_one_was_measured(ended, difference):
    draws = [Draw("applied", 30, hours(1))]

    found = balance(64, draws, [Measure(10, hours(3), ended), Measure(24, hours(4))])

    assert found.difference_nl == difference


def test_measured_again_the_later_figure_stands_alone():
    found = balance(64, [Draw("applied", 40, hours(1))], [Measure(30, hours(2), hours(4)), Measure(24, hours(4))])

    assert found.difference_nl == 0


def test_a_container_whose_measure_has_ended_tells_nothing_any_more():
    draws = [Draw("applied", 40, hours(1)), Draw("disposed", 23, hours(5))]

    found = balance(64, draws, [Measure(23, hours(4), hours(5))])

    assert not found.is_measured
    assert (found.difference_nl, found.leftover_nl) == (1, 0)


# -- the tolerance -------------------------------------------------------------------------------


@pytest.mark.parametrize(("how", "percent"), [("measured", 1), ("read_off_container", 2), ("apportioned", 2)])
def test_a_part_of_each_amount_by_how_it_is_known(how, percent):
    assert tolerance_nl(10_000, [(5_000, Statement(how))]) == 50 * percent + 1


def test_however_rough_the_amounts_a_tenth_of_the_mix_is_the_most():
    estimates = [(10_000, Statement("estimated")), (10_000, Statement("estimated"))]

    assert tolerance_nl(10_000, estimates) == 1_000 + 2
    assert PART_OF_AMOUNT["estimated"] == MOST_OF_MIX == Fraction(1, 10)


def test_a_vessel_keeps_its_share_once_for_all_its_lines():
    sponge = Statement("measured", "cut_stump", "session A")
    other = Statement("measured", "cut_stump", "session B")
    bare = Statement("measured", "cut_stump")
    mix_nl = 10**9

    kept = [tolerance_nl(mix_nl, [(0, each) for each in said]) for said in ([sponge] * 3, [sponge, other], [bare])]

    assert kept == [KEPT_NL["cut_stump"] + 3, 2 * KEPT_NL["cut_stump"] + 2, 1]


def test_every_method_with_herbicide_says_what_its_vessel_keeps():
    assert KEPT_NL.keys() == set(HERBICIDE_METHODS)


def test_a_way_of_knowing_that_is_not_in_the_table_is_an_error():
    with pytest.raises(KeyError, match="guessed"):
        tolerance_nl(100, [(1, Statement("guessed"))])


@pytest.mark.parametrize(("found_nl", "balances"), [(98_018, True), (98_017, False)])
def test_a_difference_of_just_the_tolerance_balances(found_nl, balances):
    found = balance(100_000, [], [Measure(found_nl, NINE)])

    assert found.tolerance_nl == 1_000 + 980 + 2
    assert found.difference_nl == 100_000 - found_nl
    assert found.balances is balances


# -- whatever was recorded -----------------------------------------------------------------------

statements = st.builds(
    Statement,
    st.sampled_from(sorted(PART_OF_AMOUNT)),
    st.sampled_from(HERBICIDE_METHODS),
    st.sampled_from([None, "A", "B"]),
)
moments = st.integers(0, 12).map(hours)
draws = st.lists(st.builds(Draw, st.sampled_from(DRAWN), st.integers(0, 10**10), moments, statements), max_size=12)
measures = st.lists(st.builds(Measure, st.integers(0, 10**10), moments, st.none() | moments, statements), max_size=6)


@given(st.integers(1, 10**11), draws, measures)
def test_mix_is_draws_and_difference_and_leftover(mix_nl, drawn, measured):
    found = balance(mix_nl, drawn, measured)

    assert mix_nl == sum(found.drawn_nl.values()) + found.difference_nl + found.leftover_nl
    assert found.left_nl == found.difference_nl + found.leftover_nl


@given(st.integers(1, 10**11), draws, measures, st.randoms())
def test_the_order_of_arrival_never_matters(mix_nl, drawn, measured, chance):
    expected = balance(mix_nl, drawn, measured)
    chance.shuffle(drawn)
    chance.shuffle(measured)

    assert balance(mix_nl, drawn, measured) == expected


@given(st.integers(1, 10**11), draws, measures)
def test_the_leftover_is_the_measures_that_stood_less_what_was_drawn_since(mix_nl, drawn, measured):
    found = balance(mix_nl, drawn, measured)
    at = found.measured_at

    stood = [m.nl for m in measured if at and m.at <= at and (m.ended_at is None or m.ended_at > at)]
    since = [d.nl for d in drawn if at and d.at > at]
    assert found.leftover_nl == sum(stood) - sum(since)


@given(st.integers(1, 10**11), draws)
def test_a_measure_of_just_what_the_book_has_leaves_no_difference(mix_nl, drawn):
    left = balance(mix_nl, drawn, []).left_nl

    found = balance(mix_nl, drawn, [Measure(left, hours(13))])

    assert (found.difference_nl, found.leftover_nl) == (0, left)


@given(st.integers(1, 10**11), draws, measures)
def test_the_tolerance_is_never_above_a_tenth_of_the_mix_and_the_rounding(mix_nl, drawn, measured):
    found = balance(mix_nl, drawn, measured, Statement("estimated"))

    assert 0 < found.tolerance_nl <= mix_nl // 10 + 1 + len(drawn) + len(measured)
