"""Time something beside its floor, by turns, and tell how many times the floor it takes."""

from collections.abc import Callable, Iterable, Sequence
from statistics import median
from time import perf_counter
from typing import Any, NamedTuple


class Result(NamedTuple):
    """What one thing takes beside its floor: medians of several turns."""

    engine: str
    name: str
    seconds: float
    floor_seconds: float
    most: float | None
    """The aim: so many times the floor at most; None where there is none."""

    @property
    def ratio(self) -> float:
        """Return how many times the floor it takes."""
        return self.seconds / self.floor_seconds

    def told(self) -> dict[str, Any]:
        """Return it as one JSON object."""
        return {
            "engine": self.engine, "name": self.name, "seconds": self.seconds, "floor_seconds": self.floor_seconds,
            "ratio": self.ratio, "aim": self.most,
        }  # fmt: skip


Turn = tuple[float, float]
"""Seconds of the path and of the floor."""


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    """Return how long this took, and what it gave."""
    began = perf_counter()
    given = work()
    return perf_counter() - began, given


def medians(turns: Iterable[Turn]) -> Turn:
    """Return the median of either side. Both took turns, so what else the machine did met both."""
    paths, floors = zip(*turns, strict=True)
    return median(paths), median(floors)


def table(results: Sequence[Result]) -> str:
    """Return the results as lines to be read."""
    lines = [f"{'engine':<11} {'name':<16} {'takes':>11} {'floor':>11} {'ratio':>7}   aim"]
    for each in results:
        aim = "" if each.most is None else f"<= {each.most}{'' if each.ratio <= each.most else '  MISSED'}"
        took, floor = f"{each.seconds * 1000:.2f} ms", f"{each.floor_seconds * 1000:.2f} ms"
        lines.append(f"{each.engine:<11} {each.name:<16} {took:>11} {floor:>11} {each.ratio:>7.2f}   {aim}".rstrip())
    return "\n".join(lines)
