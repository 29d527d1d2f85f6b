"""What stands in the tables of records and no book tells of: rows without a revision, values that nobody would read."""

from collections.abc import Iterator, Mapping
from uuid import UUID

from django.db import DataError, connection, models
from django.db.models import Exists, OuterRef

from stewardship.journal.models import Record, Revision

UNREADABLE = (ValueError, TypeError, AttributeError, OverflowError, DataError)
"""What reading a row raises whose values were never written by us.

SQLite keeps any value in any column; PostgreSQL knows moments that Python does not (``infinity``).
"""

MOST = 2000
"""Rows of a type that are told, at most."""

Told = Iterator[tuple[str, str]]
"""Code and sentence of what does not hold."""


def untold(group_id: UUID, types: Mapping[str, type[Record]]) -> Told:
    """Give what does not hold of the rows of a group by themselves."""
    for kind, model in sorted(types.items()):
        yield from _unwritten(group_id, kind, model)
        yield from _misread(group_id, kind, model)


def _unwritten(group_id: UUID, kind: str, model: type[Record]) -> Told:
    written = Revision.objects.filter(group_id=group_id, record_id=OuterRef("pk"), kind=kind)
    rows = model._default_manager.filter(~Exists(written), group_id=group_id)
    try:
        for id in rows.order_by("id").values_list("id", flat=True)[:MOST]:
            yield "record_unwritten", f"{kind} {id} is not in the book."
    except UNREADABLE:
        yield "record_unwritten", f"A {kind} that is not in the book cannot be read."


def _misread(group_id: UUID, kind: str, model: type[Record]) -> Told:
    """Give the rows with a value that SQLite's driver reads as if nothing, or no, stood there: queries find another."""
    unfit = [told for field in model._meta.concrete_fields for told in _unfit(field)]
    if connection.vendor != "sqlite" or not unfit:
        return
    rows = model._default_manager.filter(group_id=group_id).extra(where=[" OR ".join(unfit)])  # noqa: S610
    try:
        for id in rows.order_by("id").values_list("id", flat=True)[:MOST]:
            yield "value_misread", f"{kind} {id} holds a value that none of its columns ever holds."
    except UNREADABLE:
        yield "value_misread", f"A {kind} that cannot be read holds a value that none of its columns ever holds."


def _unfit(field: models.Field) -> Iterator[str]:  # type: ignore[type-arg]
    """Give the condition on a value that is no moment, no date or no truth value."""
    column = connection.ops.quote_name(str(field.column))
    if isinstance(field, models.BooleanField):
        yield f"{column} NOT IN (0, 1)"
    elif isinstance(field, models.DateField):
        is_none = f"{column} NOT GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]*' OR datetime({column}) IS NULL"
        yield f"{column} IS NOT NULL AND ({is_none})"
