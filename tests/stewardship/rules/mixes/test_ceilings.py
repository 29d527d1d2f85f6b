"""Ceilings in two measures."""

from fractions import Fraction

import pytest

from stewardship.rules.mixes import highest_ratio
from stewardship.rules.refusals import RuleViolation
from tests.published import printed_number, published, within_print
from tests.stewardship.rules.mixes.measures import NL


@pytest.mark.parametrize("row", published("pnw_knotweed_ceiling"), ids=str)
def test_1600_stems_of_5_ml_are_at_the_ceiling_of_stems_and_not_of_volume(row):
    stems = printed_number(row["stems"])
    volume_nl = stems * printed_number(row["ml_per_stem"]) * NL["ml"]
    ceilings = {"volume": Fraction(row["ceiling_qt"]) * NL["qt"], "stems": printed_number(row["ceiling_stems"])}

    fullest = highest_ratio({"volume": volume_nl, "stems": stems}, ceilings)

    assert fullest == ("stems", 1)
    assert within_print(100 * fullest[1], row["stems_pct"])
    assert within_print(volume_nl / NL["l"], row["volume_l"])
    assert within_print(
        100 * highest_ratio({"volume": volume_nl}, {"volume": ceilings["volume"]})[1], row["volume_pct"]
    )


@pytest.mark.parametrize(
    ("stems", "volume", "expected"),
    [
        (1599, 100, ("stems", Fraction(1599, 1600))),
        (1601, 100, ("stems", Fraction(1601, 1600))),
        (800, 90, ("volume", Fraction(9, 10))),
    ],
)
def test_the_fullest_ceiling_decides_on_both_sides(stems, volume, expected):
    assert (
        highest_ratio(
            {"stems": stems, "volume": volume}, {"stems": 1600, "volume": 100 if expected[0] == "volume" else 200}
        )
        == expected
    )


def test_the_first_of_equally_full_ceilings_is_named():
    assert highest_ratio({"b": 1, "a": 2}, {"a": 4, "b": 2}) == ("a", Fraction(1, 2))


@pytest.mark.parametrize(
    ("code", "used", "ceilings"),
    [
        ("ceiling_missing", {"stems": 1}, {}),
        ("use_unknown", {"stems": 1}, {"stems": 1600, "volume": 100}),
        ("amount_not_positive", {"stems": 1}, {"stems": 0}),
    ],
)
def test_a_comparison_that_cannot_be_made_is_refused(code, used, ceilings):
    with pytest.raises(RuleViolation) as refusal:
        highest_ratio(used, ceilings)

    assert refusal.value.code == code
