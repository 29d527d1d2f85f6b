from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from stewardship.rules.decimals import MAX_DIGITS, NumberUnreadable, exact, parse_decimal, quoted


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("0", Fraction(0)),
        ("12.8", Fraction(64, 5)),
        (".5", Fraction(1, 2)),
        ("007", Fraction(7)),
        ("1.50", Fraction(3, 2)),
    ],
)
def test_plain_decimal_text_is_read_exactly(text, number):
    assert parse_decimal(text) == number


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "1 ",
        " 1",
        "1\n",
        "5.",
        ".",
        "-",
        "+1",
        "-1",
        "--1",
        "1e3",
        "1E3",
        "1,000",
        "1_000",
        "1/2",
        "0x10",
        "NaN",
    ]
    + ["inf", "-Infinity", "½", "٣", "１２", "12.8.1", "twelve", "1\x00"],
)
def test_what_is_no_plain_number_is_refused(text):
    with pytest.raises(NumberUnreadable) as caught:
        parse_decimal(text, where="mix.value")

    assert (caught.value.code, caught.value.where) == ("number_unreadable", "mix.value")


def test_a_minus_is_read_only_where_it_is_asked_for():
    assert parse_decimal("-12.5", may_be_negative=True) == Fraction(-25, 2)
    with pytest.raises(NumberUnreadable):
        parse_decimal("-12.5")


@pytest.mark.parametrize("digits", ["9" * MAX_DIGITS, "1." + "0" * (MAX_DIGITS - 1), "." + "9" * MAX_DIGITS])
def test_digits_are_counted_to_the_edge(digits):
    assert parse_decimal(digits) == Fraction(digits)
    with pytest.raises(NumberUnreadable):
        parse_decimal(digits + "0")


def test_a_long_text_is_refused_fast_and_quoted_short():
    with pytest.raises(NumberUnreadable) as caught:
        parse_decimal("9" * 10**6)

    assert len(str(caught.value)) < 250


@given(st.text(max_size=30))
@example("1" * 19)
def test_any_text_is_a_number_or_a_refusal(text):
    try:
        number = parse_decimal(text, may_be_negative=True)
    except NumberUnreadable:
        return

    assert number == Fraction(text)


@pytest.mark.parametrize("number", [1.0, float("nan"), True, None, 1j, b"1", pytest.param([1], id="list")])
def test_an_inexact_number_is_a_type_error(number):
    with pytest.raises(TypeError):
        exact(number)


@pytest.mark.parametrize(
    ("given", "number"), [("-2.5", Fraction(-5, 2)), (3, Fraction(3)), (Fraction(1, 3), Fraction(1, 3))]
)
def test_an_exact_number_is_taken_as_it_is(given, number):
    assert exact(given) == number


def test_what_somebody_typed_is_quoted_printable_and_short():
    assert quoted("1\x00\u202e2") == '"12"'
    assert quoted("x" * 40) == f'"{"x" * 40}"'
    assert quoted("x" * 41) == f'"{"x" * 40}…"'
