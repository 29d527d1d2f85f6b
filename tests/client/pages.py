"""A page of a pull: a start line, the states of records, an end line. Without its end line it is no page."""

import json
from dataclasses import dataclass
from typing import Any

from tests.client.transport import NoAnswer


@dataclass(frozen=True)
class Page:
    """What a page said."""

    epoch: str
    server_time: str
    puts: list[dict[str, Any]]
    cursor: str
    more: bool
    head: int
    head_hash: str
    poll_after_s: float


def read_page(body: bytes) -> Page:
    """Return what a page says. Raises NoAnswer if it breaks off anywhere, or is none."""
    try:
        lines = [json.loads(line) for line in body.splitlines()]
        first, *puts, last = lines
        is_whole = (first["k"], last["k"]) == ("start", "end") and body.endswith(b"\n")
        if not is_whole or any(put["k"] != "put" for put in puts):
            raise NoAnswer("a page without its end line")
        return Page(
            first["epoch"], first["server_time"], puts,
            last["cursor"], last["more"], last["head"], last["head_hash"], last["poll_after_s"],
        )  # fmt: skip
    except (ValueError, KeyError, TypeError) as error:
        raise NoAnswer("this is no page of a pull") from error
