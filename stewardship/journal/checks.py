"""Says which journal mode SQLite runs in, and why."""

import sqlite3
from collections.abc import Sequence
from typing import Any

from django.core.checks import CheckMessage, Info, Tags, register
from django.db import connections

# "The WAL reset bug", SQLite release history: in every version from 3.7.0 two connections that write and checkpoint
# in the same moment could damage a file in WAL mode. Mended in 3.51.3, and in the older series 3.50 and 3.44.
SOUND_SINCE = (3, 51, 3)
SOUND_SERIES = ((3, 50, 7), (3, 44, 6))


def sqlite_journal_mode(version: tuple[int, ...]) -> str:
    """Return "WAL" for a SQLite ``version`` whose WAL mode is sound, else "DELETE", the rollback journal."""
    in_series = any(version[:2] == first[:2] and version >= first for first in SOUND_SERIES)
    return "WAL" if version >= SOUND_SINCE or in_series else "DELETE"


def sqlite_set_up(version: tuple[int, ...]) -> str:
    """Return what every connection to a SQLite of this ``version`` begins with: what is committed is on the disk."""
    pragmas = (
        "synchronous=FULL",
        "foreign_keys=ON",
        "cache_size=-8000",
        f"journal_mode={sqlite_journal_mode(version)}",
    )
    return ";".join(f"PRAGMA {pragma}" for pragma in pragmas)


@register(Tags.database)
def explain_journal_mode(*, databases: Sequence[str] | None = None, **_: Any) -> list[CheckMessage]:
    """Tell, for each SQLite database, its journal mode and the reason."""
    told = Info(journal_mode_told(sqlite3.sqlite_version_info), id="stewardship.I001")
    return [told for alias in databases or () if connections[alias].vendor == "sqlite"]


def journal_mode_told(version: tuple[int, ...]) -> str:
    """Return a sentence on the journal mode that SQLite ``version`` is given."""
    name = ".".join(map(str, version))
    if sqlite_journal_mode(version) == "WAL":
        return f"SQLite {name} runs in WAL mode: readers do not wait for a writer."
    return (
        f"SQLite {name} runs with a rollback journal: its WAL mode can damage a file (mended in 3.51.3, 3.50.7 and "
        "3.44.6). Nothing is lost; readers wait while a writer commits."
    )
