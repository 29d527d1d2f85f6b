"""Exact numbers as text."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stewardship.rules.figures import FigureUnreadable, exact_text, from_exact_text, rounded_text


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (Fraction("479.3"), "479.3"),
        (Fraction("-6.7"), "-6.7"),
        (Fraction(2, 3), "2/3"),
        (Fraction(-25644, 35663), "-25644/35663"),
        (Fraction(1, 800), "0.00125"),
        (Fraction(0), "0"),
        (480, "480"),
    ],
)
def test_an_exact_number_has_one_text(number, text):
    assert exact_text(number) == text
    assert from_exact_text(text) == number


@given(st.fractions())
def test_the_text_reads_back_to_the_same_number(number):
    assert from_exact_text(exact_text(number)) == number


@pytest.mark.parametrize("text", ["", " 1", "1e3", "1/0", "1.", ".5", "1/2/3", "1.5/2", "NaN", "0x1", "１"])
def test_other_text_is_refused(text):
    with pytest.raises(FigureUnreadable):
        from_exact_text(text)


def test_a_float_is_no_text():
    with pytest.raises(TypeError):
        from_exact_text(0.5)


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (Fraction(380 * 10**8, 1_892_705_892), "20.08"),
        (Fraction(1, 3), "0.3333"),
        (Fraction(2, 300_000), "0.000006667"),
        (12345, "12345"),
        (Fraction(20), "20"),
        (Fraction("0.5"), "0.5"),
        (0, "0"),
        (Fraction(-2, 3), "-0.6667"),
        (Fraction("9.9996"), "10"),
        (Fraction("1.00050"), "1"),
        (Fraction("1.00150"), "1.002"),
    ],
)
def test_a_number_is_shown_with_four_significant_digits(number, text):
    assert rounded_text(number) == text
