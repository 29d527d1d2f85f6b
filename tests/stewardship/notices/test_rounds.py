"""What a round says of people and dates."""

import pytest

from stewardship.notices.rounds import listed


@pytest.mark.parametrize(
    ("names", "told"),
    [([], ""), (["Ines"], "Ines"), (["Ines", "Tobias"], "Ines and Tobias"), (["A", "B", "C"], "A, B and C")],
)
def test_names_are_told_as_a_sentence_tells_them(names, told):
    assert listed(names) == told
