from fractions import Fraction

import pytest

from tests import published as table
from tests.published import Row, half_last_digit, printed_number, published, within_print


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setattr(table, "FOLDER", tmp_path)
    return tmp_path


def test_a_table_is_read_without_its_source_lines(folder):
    (folder / "gallon.csv").write_text('# Source: a table\n# as printed\nid,product\nD01,"1,135.62"\n\nD02,.5\n')

    rows = published("gallon")

    assert rows == published("gallon.csv") == [{"id": "D01", "product": "1,135.62"}, {"id": "D02", "product": ".5"}]
    assert [str(row) for row in rows] == ["D01", "D02"]


@pytest.mark.parametrize(
    "text", ["", "id,a\nD01,1\n", "# source\nid,a\n", "# source\nid,a\nD1\n", "# s\nid,a\nD1,1,2\n"]
)
def test_a_table_without_source_rows_or_equal_width_is_refused(folder, text):
    (folder / "bad.csv").write_text(text)

    with pytest.raises(ValueError, match=r"bad\.csv"):
        published("bad")


def test_a_row_without_an_id_shows_its_cells():
    assert str(Row(strength="5", product="6.4")) == "5,6.4"


@pytest.mark.parametrize(
    ("printed", "half"),
    [("6.4", Fraction(1, 20)), ("2.00", Fraction(1, 200)), ("1,135", Fraction(1, 2)), (".5", Fraction(1, 20))],
)
def test_the_tolerance_is_half_a_unit_of_the_last_printed_digit(printed, half):
    number = printed_number(printed)

    assert half_last_digit(printed) == half
    assert within_print(number + half, printed)
    assert within_print(number - half, printed)
    assert not within_print(number + half + Fraction(1, 10**9), printed)
    assert not within_print(number - half - Fraction(1, 10**9), printed)


@pytest.mark.parametrize("text", ["", ".", "1/2", "1e3", "12,34", "about 5", "1.2.3", "5 %"])
def test_what_is_not_a_plain_number_is_refused(text):
    with pytest.raises(ValueError, match="not a plain printed number"):
        within_print(1, text)
