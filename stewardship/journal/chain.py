"""The chain of hashes: each revision seals every field of itself and the one before it."""

from hashlib import sha256
from typing import Any, NamedTuple

import orjson

from stewardship.journal.contents import instant

BEGINNING = "0" * 64
"""What stands before the first revision of a book."""


class Told(NamedTuple):
    """The fields of a revision that its hash covers, beside its number and its predecessor."""

    group_id: Any
    kind: str
    record_id: Any
    rev: int
    op: str
    mid: Any
    by_id: Any
    device_id: Any
    at: Any
    reason: str
    audience: str


def content_hash(salt: str, content: str) -> str:
    """Return the hash of a content; the salt keeps a short content from being guessed after erasure."""
    return sha256(f"{salt}{content}".encode()).hexdigest()


def seal(previous: str, seq: int, told: Told, content_hash: str) -> str:
    """Return a revision's hash over its predecessor's, its number and each of its fields."""
    line = [previous, seq, *map(_text, told), content_hash]
    return sha256(orjson.dumps(line)).hexdigest()


def _text(value: Any) -> Any:
    return instant(value) if hasattr(value, "astimezone") else value
