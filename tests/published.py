"""Published values: one CSV a table under fixtures/published, its source in the comment lines at its top.

A figure in print is right to half a unit of its last printed digit, and that is the only tolerance used here.
"""

import csv
import re
from fractions import Fraction
from pathlib import Path

FOLDER = Path(__file__).resolve().parent.parent / "fixtures" / "published"
PLAIN_NUMBER = re.compile(r"[-+]?(?P<whole>\d{1,3}(,\d{3})+|\d+)?(\.(?P<decimals>\d+))?")


class Row(dict[str, str]):
    """One line of a published table, text as printed; as a string it is its ``id``, for pytest."""

    def __str__(self) -> str:
        return self.get("id") or ",".join(self.values())


def published(name: str) -> list[Row]:
    """Read fixtures/published/``name`` ("NAME" or "NAME.csv"), without the ``#`` lines that hold its source.

    Raises ValueError for a table without a source, without rows or with a line of another width.
    """
    path = FOLDER / name if name.endswith(".csv") else FOLDER / f"{name}.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    body = [line for line in lines if line.strip() and not line.startswith("#")]
    if not lines or not lines[0].startswith("#"):
        raise ValueError(f"{path.name} does not begin with its source")
    rows = [Row(row) for row in csv.DictReader(body)]
    if not rows or any(None in row or None in row.values() for row in rows):
        raise ValueError(f"{path.name} has no rows, or a line with too few or too many cells")
    return rows


def half_last_digit(printed: str) -> Fraction:
    """Return half a unit of the last digit of a plain number in print: "6.4" gives 1/20, "1,135" gives 1/2."""
    number = PLAIN_NUMBER.fullmatch(printed.strip())
    if number is None or not (number["whole"] or number["decimals"]):
        raise ValueError(f"{printed!r} is not a plain printed number")
    return Fraction(1, 2 * 10 ** len(number["decimals"] or ""))


def printed_number(printed: str) -> Fraction:
    """Return a number in print exactly, thousands commas taken out: "1,135.62" gives 56781/50."""
    half_last_digit(printed)
    return Fraction(printed.strip().replace(",", ""))


def within_print(value: Fraction | int, printed: str) -> bool:
    """Tell whether an exact ``value`` lies within half a unit of the last digit of ``printed`` (same unit)."""
    return abs(Fraction(value) - printed_number(printed)) <= half_last_digit(printed)
