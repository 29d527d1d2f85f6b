"""Which dates and times can be meant: what lies beyond them no engine keeps alike."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import Any

from msgspec import Struct

FIRST_YEAR, LAST_YEAR = 1900, 2999
WIDEST = timedelta(hours=15)
"""The widest offset from UTC: zones reach from -12:00 to +14:00, historic local time a little beyond."""

_MAY_BE_BEYOND = (date, Struct, list)


def beyond(value: Any, pointer: str = "") -> Iterator[dict[str, str]]:
    """Give a problem for each date or time in a struct that lies outside the bounds, with its place."""
    if isinstance(value, date):
        if detail := _wrong(value):
            yield {"pointer": pointer, "code": "value_invalid", "detail": detail}
    elif isinstance(value, Struct):
        for name in value.__struct_fields__:
            if isinstance(part := getattr(value, name), _MAY_BE_BEYOND):
                yield from beyond(part, f"{pointer}/{name}")
    elif isinstance(value, list):
        for i, item in enumerate(value):
            yield from beyond(item, f"{pointer}/{i}")


def _wrong(value: date) -> str:
    """Return what is wrong with a date or a time, or nothing."""
    if not FIRST_YEAR <= value.year <= LAST_YEAR:
        return f"This must lie in the years {FIRST_YEAR} to {LAST_YEAR}."
    offset = value.utcoffset() if isinstance(value, datetime) else None
    if offset is not None and abs(offset) > WIDEST:
        return "No time zone is so far from UTC. Write the offset of the place, such as -05:00."
    return ""
