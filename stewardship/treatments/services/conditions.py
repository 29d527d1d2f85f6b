"""The wait between cutting and treating, and the weather, held against stored limits that bear on the work."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from stewardship.catalog.comparing import Finding
from stewardship.catalog.models import Limit
from stewardship.rules.decimals import exact
from stewardship.rules.limits import WAITS, WORDS, Position, both_at_once, compare, compare_wait, gravest, judges
from stewardship.rules.units import UNITS, Dimension, to_base

Reading = Mapping[str, Any]
"""One reading of a session's weather, as its column keeps it."""

SECONDS = {"s": 1, "min": 60, "h": 3600}
WAIT_CODES = {"above": "wait_above_limit", "may_be_above": "wait_may_be_above_limit"}
READ: dict[str, tuple[str, str, str, Dimension]] = {
    "wind": ("wind_speed", "um_s", "Wind", Dimension.SPEED),
    "temperature": ("temperature", "mc", "Air temperature", Dimension.TEMPERATURE),
}
"""What is limited -> the quantity of a reading, its base unit, its words, its dimension."""


def of_wait(bearing: Iterable[Limit], longest_wait: str) -> Iterator[Finding]:
    """Compare the longest wait, a class of ``rules.limits.WAITS`` (empty: not told), with each limit on it."""
    for limit in bearing:
        if not longest_wait or not limit.high:
            continue
        position = compare_wait(longest_wait, limit_s=exact(limit.high) * SECONDS[limit.unit])
        if position in WAIT_CODES:
            lead = f"Longest wait from cut to treatment: {WAITS[longest_wait].words}"
            detail = f"{lead}: {WORDS[position]} of {limit.high} {limit.unit}. {limit.wording}"
            yield Finding(WAIT_CODES[position], detail, limit.source, limit)


def of_weather(bearing: Sequence[Limit], method: str, readings: Sequence[Reading]) -> Iterator[Finding]:
    """Compare each reading with each limit that judges work by this method; a limit is found once, at its gravest."""
    ours = [limit for limit in bearing if judges(limit.what, limit_method=limit.method, method=method)]
    for limit in ours:
        if limit.what in READ:
            yield from _of_reading(limit, readings)
    yield from _of_hot_and_dry([limit for limit in ours if limit.what == "hot_and_dry"], readings)


def _of_reading(limit: Limit, readings: Sequence[Reading]) -> Iterator[Finding]:
    name, base, words, dimension = READ[limit.what]
    low, high = (to_base(text, limit.unit, dimension) if text else None for text in (limit.low, limit.high))
    found = [(compare(each[name][base], low=low, high=high), each[name]) for each in readings if each.get(name)]
    position = gravest(position for position, _ in found)
    if position not in ("above", "below"):
        return
    value = next(value for each, value in found if each == position)
    limited = f"{limit.ends()} {UNITS[limit.unit].name_many}"
    read = f"{value['value']} {UNITS[value['unit']].name_many}"
    detail = f"{words} {read}: {WORDS[position]} of {limited}. {limit.wording}"
    yield Finding(f"{limit.what}_{position}_limit", detail, limit.source, limit)


def _of_hot_and_dry(bearing: Sequence[Limit], readings: Sequence[Reading]) -> Iterator[Finding]:
    """Compare heat and drought, which count only together: the two limits of one source."""
    for source in dict.fromkeys(limit.source for limit in bearing):
        pair = [limit for limit in bearing if limit.source == source]
        for reading in readings:
            positions = [_hot_or_dry(limit, reading) for limit in pair]
            if len(positions) == 2 and both_at_once(*positions) == "above":  # noqa: PLR2004
                heat = reading["temperature"]
                lead = f"Air temperature {heat['value']} {heat['unit']} and humidity {reading['humidity_percent']} %"
                yield Finding("hot_and_dry_limit", f"{lead}: {WORDS['above']}. {pair[0].wording}", source, pair[0])
                break


def _hot_or_dry(limit: Limit, reading: Reading) -> Position:
    if limit.unit == "percent":
        value, ends = reading.get("humidity_percent"), [exact(t) if t else None for t in (limit.low, limit.high)]
    else:
        heat, dimension = reading.get("temperature"), Dimension.TEMPERATURE
        value = heat["mc"] if heat else None
        ends = [to_base(t, limit.unit, dimension) if t else None for t in (limit.low, limit.high)]  # type: ignore[misc]
    return compare(value, low=ends[0], high=ends[1])
