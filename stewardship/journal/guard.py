"""The append-only guard: triggers that let a revision be added, and its content be erased, and nothing else."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

TABLE = "journal_revision"
KEPT = (
    "group_id", "seq", "kind", "record_id", "rev", "op", "mid", "by_id", "device_id",
    "at", "reason", "audience", "content_hash", "hash",
)  # fmt: skip
SAYS = "a revision is never changed or removed"


def _touched(equal: str) -> str:
    """Return the condition that an update does more than empty content and salt."""
    moved = [f"NOT (OLD.{column} {equal} NEW.{column})" for column in KEPT]
    return " OR ".join([*moved, "NEW.content IS NOT NULL", "NEW.salt IS NOT NULL"])


# SQLite's REPLACE removes the row in its way without asking the triggers on DELETE.
_IN_THE_WAY = (
    f"EXISTS (SELECT 1 FROM {TABLE} WHERE group_id = NEW.group_id AND seq = NEW.seq) OR "
    f"EXISTS (SELECT 1 FROM {TABLE} WHERE group_id = NEW.group_id AND record_id = NEW.record_id AND rev = NEW.rev)"
)
SQLITE = (
    f"CREATE TRIGGER a_revision_is_not_replaced BEFORE INSERT ON {TABLE} WHEN {_IN_THE_WAY} "
    f"BEGIN SELECT RAISE(ABORT, '{SAYS}'); END",
    f"CREATE TRIGGER a_revision_is_kept BEFORE DELETE ON {TABLE} BEGIN SELECT RAISE(ABORT, '{SAYS}'); END",
    f"CREATE TRIGGER a_revision_is_not_changed BEFORE UPDATE ON {TABLE} WHEN {_touched('IS')} "
    f"BEGIN SELECT RAISE(ABORT, '{SAYS}'); END",
)
POSTGRESQL = (
    f"CREATE OR REPLACE FUNCTION refuse_to_change_the_book() RETURNS trigger LANGUAGE plpgsql "
    f"AS $$ BEGIN RAISE EXCEPTION '{SAYS}'; END $$",
    f"CREATE TRIGGER a_revision_is_kept BEFORE DELETE OR TRUNCATE ON {TABLE} "
    "FOR EACH STATEMENT EXECUTE FUNCTION refuse_to_change_the_book()",
    f"CREATE TRIGGER a_revision_is_not_changed BEFORE UPDATE ON {TABLE} FOR EACH ROW "
    f"WHEN ({_touched('IS NOT DISTINCT FROM')}) EXECUTE FUNCTION refuse_to_change_the_book()",
)


def raise_guard(connection: Any) -> None:
    """Set the triggers."""
    with connection.cursor() as cursor:
        for statement in SQLITE if connection.vendor == "sqlite" else POSTGRESQL:
            cursor.execute(statement)


def lower_guard(connection: Any) -> None:
    """Take the triggers away; only to empty a test database or to undo the migration."""
    names = ("a_revision_is_kept", "a_revision_is_not_changed", "a_revision_is_not_replaced")
    table = "" if connection.vendor == "sqlite" else f" ON {TABLE}"
    with connection.cursor() as cursor:
        for trigger in names:
            cursor.execute(f"DROP TRIGGER IF EXISTS {trigger}{table}")


@contextmanager
def guard_lifted(connection: Any) -> Iterator[None]:
    """Take the guard away for the time of a block."""
    lower_guard(connection)
    try:
        yield
    finally:
        raise_guard(connection)
