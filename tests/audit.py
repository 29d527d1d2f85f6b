"""What must always hold in the record book found wanting or not.

The chain is computed here a second time, with another JSON library and from this module's own list of fields:
the product's code cannot agree with itself about a fault of its own.
"""

import json
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from functools import cache
from hashlib import sha256
from typing import Any
from uuid import UUID

from django.apps import apps
from django.db import connection

from stewardship.journal.models import Book, Projection, Record, Revision
from stewardship.places.models import Unit
from stewardship.reports.models import SeasonReport
from stewardship.sync.models import Mutation, ToSettle
from stewardship.treatments.models import Batch, Container, Lot
from tests import balances

SEALED = (
    "group_id", "kind", "record_id", "rev", "op", "mid", "by_id", "device_id", "at", "reason", "audience",
)  # fmt: skip
"""The columns that a revision's hash covers beside the hash before it, its number and its content's hash."""

RECOMPUTED: dict[type[Record], Callable[[UUID], dict[UUID, dict[str, Any]]]] = {
    Unit: balances.of_units,
    Batch: balances.of_batches,
    Lot: balances.of_lots,
    Container: balances.of_containers,
    SeasonReport: balances.of_reports,
}
"""Model with derived columns -> a function of a group's id that gives, for each record, what they must be."""


def record_types() -> list[type[Record]]:
    """Return every type of record that is installed."""
    return [model for model in apps.get_models() if issubclass(model, Record)]


def findings() -> list[str]:
    """Return a sentence for everything that does not hold in any group's book; none if all is well."""
    books = list(Book.objects.order_by("group_id"))
    revisions = _by_group(Revision.objects.order_by("seq"))
    ledger = _by_group(Mutation.objects.all())
    held = {model: list(model._default_manager.all()) for model in _with_rows()}
    found = []
    for book in books:
        id = book.group_id
        of_group = {model: [record for record in held[model] if record.group_id == id] for model in held}
        found += _in_book(book, revisions.get(id, []), ledger.get(id, []), of_group)
    for model, records in held.items():
        for projection in model.projections:
            found += _projected(projection, records)
    return found + list(_without_a_book({book.group_id for book in books}, held))


def _by_group(rows: Any) -> dict[UUID, list[Any]]:
    by_group: dict[UUID, list[Any]] = {}
    for row in rows:
        by_group.setdefault(row.group_id, []).append(row)
    return by_group


@cache
def _looks_for_rows() -> str:
    models = [model for record in record_types() for model in (record, *record.projections)]
    tables = [connection.ops.quote_name(model._meta.db_table) for model in models]
    looks = [f"SELECT {place} WHERE EXISTS (SELECT 1 FROM {table})" for place, table in enumerate(tables)]
    return " UNION ALL ".join(looks)


def _with_rows() -> list[type[Record]]:
    """Return the types of which there is anything, record or projection: most tests have few, and all are audited."""
    types = [record for record in record_types() for _ in (record, *record.projections)]
    with connection.cursor() as cursor:
        cursor.execute(_looks_for_rows())
        return list(dict.fromkeys(types[place] for (place,) in sorted(cursor.fetchall())))


def _without_a_book(owned: set[UUID], held: dict[type[Record], list[Record]]) -> Iterator[str]:
    for model in held:
        for record in held[model]:
            if record.group_id not in owned:
                yield f"{record.kind} {record.id} belongs to a group without a book"


def _in_book(
    book: Book, revisions: list[Revision], ledger: list[Mutation], held: dict[type[Record], list[Record]]
) -> Iterator[str]:
    yield from _chain(book, revisions)
    yield from _ledger(book, revisions, ledger, held.get(ToSettle, []))
    by_record: dict[UUID, list[Revision]] = {}
    for revision in revisions:
        by_record.setdefault(revision.record_id, []).append(revision)
    for id, history in by_record.items():
        yield from _history(id, history)
    released = {r.mid for r in revisions if r.kind == "to_settle" and r.op in ("release", "settle")}
    for model, records in held.items():
        yield from _records(model, records, book.group_id, by_record, released)
    for left in by_record.values():
        yield f"{left[0].kind} {left[0].record_id} has revisions, but there is no such record"


def _chain(book: Book, revisions: list[Revision]) -> Iterator[str]:
    previous = "0" * 64
    if [revision.seq for revision in revisions] != list(range(1, book.head + 1)):
        yield f"the numbers of {book.group_id} are not 1 to {book.head}"
    for revision in revisions:
        if revision.content is not None:
            told = sha256(f"{revision.salt}{revision.content}".encode()).hexdigest()
            if told != revision.content_hash:
                yield f"number {revision.seq}: the content is not what was hashed"
        previous = sealed(previous, revision)
        if previous != revision.hash:
            yield f"number {revision.seq}: the chain is broken"
            previous = revision.hash
    if previous != book.head_hash:
        yield f"the head of {book.group_id} does not seal its last number"


def _ledger(book: Book, revisions: list[Revision], lines: list[Mutation], items: list[Any]) -> Iterator[str]:
    if book.held != sum(item.state == "waiting" for item in items):
        yield f"{book.group_id} does not count what waits to be settled"
    if {line.mid for line in lines if line.outcome in ("held", "conflict")} != {item.mid for item in items}:
        yield f"{book.group_id} does not keep to settle what its ledger says was held"
    applied = {line.mid for line in lines if line.outcome in ("applied", "merged")}
    written = {revision.mid for revision in revisions if (revision.kind, revision.op) != ("to_settle", "hold")}
    if not applied <= written:
        yield "the ledger tells of changes that are not in the book"
    if any(line.mid in written for line in lines if line.mid not in applied):
        yield "the book tells of changes that the ledger says were not made"


def sealed(previous: str, revision: Revision) -> str:
    """Return the hash that a revision must have after the one before it."""
    values = [getattr(revision, name) for name in SEALED]
    line = [previous, revision.seq, *map(_plain, values), revision.content_hash]
    return sha256(json.dumps(line, ensure_ascii=False, separators=(",", ":")).encode()).hexdigest()


def _plain(value: Any) -> Any:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")
    return str(value) if isinstance(value, UUID) else value


def _history(id: UUID, history: list[Revision]) -> Iterator[str]:
    if [revision.rev for revision in history] != list(range(1, len(history) + 1)):
        yield f"{id}: its revisions are not 1 to {len(history)} in the order of the book"
    if len({(revision.kind, revision.audience) for revision in history}) > 1:
        yield f"{id}: its kind or audience changed"


def _records(
    model: type[Record],
    records: list[Record],
    group_id: UUID,
    by_record: dict[UUID, list[Revision]],
    released: set[UUID],
) -> Iterator[str]:
    for record in records:
        history = by_record.pop(record.id, None)
        yield from _newest(record, history, released) if history else [f"{record.kind} {record.id} is not in the book"]
    if records and model in RECOMPUTED:
        yield from _derived(model, records, RECOMPUTED[model](group_id))


def _newest(record: Record, history: list[Revision], released: set[UUID]) -> Iterator[str]:
    first, last = history[0], history[-1]
    if (last.kind, last.rev, last.audience) != (record.kind, record.rev, record.audience()):
        yield f"{record.kind} {record.id}: kind, rev or audience is not that of its newest revision"
    is_by_its_author = first.by_id == record.entered_by_id or first.mid in released
    if not is_by_its_author or first.at != record.entered_at:
        yield f"{record.kind} {record.id}: who entered it, or when, is not what its first revision says"
    if last.content is not None and json.loads(last.content) != record.content():
        yield f"{record.kind} {record.id}: it says something else than its newest revision"


def _projected(projection: type[Projection], records: list[Record]) -> Iterator[str]:
    names = [f.attname for f in projection._meta.concrete_fields if f.attname != "id"]
    stored = projection._default_manager.values_list(*names)
    rows = [{"group_id": record.group_id} | row for record in records for row in projection.rows_of(record)]
    if sorted(map(repr, stored)) != sorted(repr(tuple(map(row.get, names))) for row in rows):
        yield f"{projection.__name__}: its rows are not those of the records"


def _unordered(value: Any) -> Any:
    """Return a value; a list of groups of fields in one order, since none is told by it."""
    is_of_groups = isinstance(value, list) and value and isinstance(value[0], dict)
    return sorted(value, key=lambda each: json.dumps(each, sort_keys=True)) if is_of_groups else value


def _derived(model: type[Record], records: list[Record], expected: dict[UUID, dict[str, Any]]) -> Iterator[str]:
    for record in records:
        stored = {name: _unordered(getattr(record, name)) for name in model.derived}
        wanted = {name: _unordered(value) for name, value in expected.get(record.id, {}).items()}
        if stored != wanted:
            yield f"{record.kind} {record.id}: {stored} does not come out when computed again"
