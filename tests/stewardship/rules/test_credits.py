"""Credits by category and mode, against published figures and an oracle that goes course by course."""

from datetime import date
from fractions import Fraction
from itertools import count

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stewardship.rules.credits import Cycle, Earned, Wanted, cycle_from, cycle_of, ledger
from stewardship.rules.validity import ValidityRule
from tests.published import published

ON = date(2027, 5, 1)


def earned(mode, credits, category="", on=ON):
    return Earned(category=category, mode=mode, credits=Fraction(credits), on=on)


@pytest.mark.parametrize("row", published("credits_wanted"), ids=str)
def test_credits_count_as_the_published_figures_say(row):
    caps = {"online": Fraction(row["cap_online"])} if row["cap_online"] else {}
    courses = [earned("online", row["earned_online"]), earned("in_person", row["earned_in_person"])]

    (line,) = ledger([Wanted(category="", credits=Fraction(row["wanted"]), caps=caps)], courses, up_to=ON, cycle=None)

    assert (line.counted, line.lacking) == (Fraction(row["counted"]), Fraction(row["lacking"]))


def test_ten_online_credits_with_a_cap_of_six_count_as_six_and_the_shortfall_is_shown():
    wanted = Wanted(category="", credits=Fraction(12), caps={"online": Fraction(6)})

    (line,) = ledger([wanted], [earned("online", 4), earned("online", 6)], up_to=ON, cycle=None)

    assert (line.earned, line.beyond_caps, line.counted, line.lacking) == (10, {"online": 4}, 6, 6)


def test_a_category_never_lends_to_another_and_one_that_nobody_wants_is_still_told():
    wanted = [Wanted(category="", credits=Fraction(6)), Wanted(category="05", credits=Fraction(8))]

    lines = ledger(wanted, [earned("online", 20, "05"), earned("online", 3, "77")], up_to=ON, cycle=None)

    assert [(line.category, line.earned, line.lacking) for line in lines] == [("", 0, 6), ("05", 20, 0), ("77", 3, 0)]


@pytest.mark.parametrize(
    ("on", "counts"),
    [
        (date(2026, 5, 15), False), (date(2026, 5, 16), True), (date(2029, 5, 16), True), (date(2029, 5, 17), False),
    ],
)  # fmt: skip
def test_the_first_and_the_last_day_of_the_cycle_count(on, counts):
    cycle = Cycle(first_on=date(2026, 5, 16), last_on=date(2029, 5, 16))

    (line,) = ledger(
        [Wanted(category="", credits=Fraction(1))], [earned("online", 1, on=on)], up_to=date(2030, 1, 1), cycle=cycle
    )

    assert bool(line.counted) is counts


def test_what_was_earned_later_than_one_looks_does_not_count_yet():
    (line,) = ledger(
        [Wanted(category="", credits=Fraction(1))], [earned("online", 1, on=date(2027, 5, 2))], up_to=ON, cycle=None
    )

    assert line.lacking == 1


def test_a_licence_issued_for_its_cycle_says_it_and_one_renewed_each_year_does_not():
    issued_on, last_on = date(2024, 2, 29), date(2027, 2, 28)
    three = ValidityRule(kind="rolling", years=3)

    assert cycle_of(three, 3, issued_on=issued_on, last_on=last_on) == Cycle(first_on=issued_on, last_on=last_on)
    assert cycle_of(three, 4, issued_on=issued_on, last_on=last_on) is None
    assert cycle_of(ValidityRule(kind="stated"), 3, issued_on=issued_on, last_on=last_on) is None
    assert cycle_of(three, 3, issued_on=None, last_on=None) is None
    assert cycle_from(issued_on, 1).last_on == date(2025, 2, 28)


COURSES = st.lists(
    st.builds(
        Earned,
        category=st.sampled_from(["", "A", "B"]),
        mode=st.sampled_from(["online", "in_person", "self_study"]),
        credits=st.integers(1, 40).map(lambda quarters: Fraction(quarters, 4)),
        on=st.dates(date(2026, 1, 1), date(2028, 12, 31)),
    ),
    max_size=12,
)
CAPS = st.dictionaries(st.sampled_from(["online", "self_study"]), st.integers(0, 10).map(Fraction))


@given(COURSES, st.lists(CAPS, min_size=3, max_size=3), st.dates(date(2026, 6, 1), date(2028, 6, 30)))
def test_it_agrees_with_counting_quarter_by_quarter(courses, caps, up_to):
    rules = [
        Wanted(category=name, credits=Fraction(5), caps=cap) for name, cap in zip(["", "A", "B"], caps, strict=True)
    ]
    cycle = Cycle(first_on=date(2026, 3, 1), last_on=date(2028, 3, 1))

    lines = ledger(rules, courses, up_to=up_to, cycle=cycle)

    for rule, line in zip(rules, lines, strict=True):
        assert line.counted == _quarter_by_quarter(rule, courses, up_to)


def _quarter_by_quarter(rule, courses, up_to):
    """Drop each quarter of a credit into its mode's jar while there is room."""
    jars, counted = {}, Fraction(0)
    for course in courses:
        if course.category != rule.category or not date(2026, 3, 1) <= course.on <= min(up_to, date(2028, 3, 1)):
            continue
        for _ in zip(count(), range(int(course.credits * 4)), strict=False):
            full = jars.get(course.mode, Fraction(0))
            if course.mode in rule.caps and full + Fraction(1, 4) > rule.caps[course.mode]:
                continue
            jars[course.mode] = full + Fraction(1, 4)
            counted += Fraction(1, 4)
    return counted
