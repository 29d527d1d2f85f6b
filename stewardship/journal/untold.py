"""What stands in the tables and no book tells of: records without a revision, values in a form that nobody writes."""

from collections.abc import Iterator, Mapping
from typing import Any
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
    yield from _malformed(group_id, "Number", Revision, "seq")
    for kind, model in sorted(types.items()):
        yield from _unwritten(group_id, kind, model)
        yield from _malformed(group_id, kind, model, "id")


def _unwritten(group_id: UUID, kind: str, model: type[Record]) -> Told:
    written = Revision.objects.filter(group_id=group_id, record_id=OuterRef("pk"), kind=kind)
    rows = model._default_manager.filter(~Exists(written), group_id=group_id)
    try:
        for id in rows.order_by("id").values_list("id", flat=True)[:MOST]:
            yield "record_unwritten", f"{kind} {id} is not in the book."
    except UNREADABLE:
        yield "record_unwritten", f"A {kind} that is not in the book cannot be read."


def _malformed(group_id: UUID, name: str, model: type[models.Model], key: str) -> Told:
    """Give the rows with a value in another form than it is ever written in.

    It may be read as what was written, or as nothing, and queries compare it as it stands.
    """
    forms = [told for field in model._meta.concrete_fields if field.column for told in _never(field)]
    if not forms:
        return
    rows = model._default_manager.filter(group_id=group_id).extra(where=[" OR ".join(forms)])  # noqa: S610
    try:
        for id in rows.order_by(key).values_list(key, flat=True)[:MOST]:
            yield "value_malformed", f"{name} {id} holds a value in a form in which none is written."
    except UNREADABLE:
        yield "value_malformed", f"{name} and what cannot be read: a value in a form in which none is written."


DATE = "-".join(("[0-9]" * 4, "[0-9]" * 2, "[0-9]" * 2))
MOMENT = f"{DATE} " + ":".join(["[0-9]" * 2] * 3)


def _never(field: Any) -> Iterator[str]:
    """Give the condition on a value of this column that nobody ever writes, as the engine keeps values."""
    column, kept = connection.ops.quote_name(str(field.column)), field.target_field if field.is_relation else field
    if isinstance(kept, models.JSONField):
        yield f"{column} = 'null'"
    elif connection.vendor != "sqlite":
        return
    elif isinstance(kept, models.BooleanField):
        yield f"{column} NOT IN (0, 1)"
    elif isinstance(kept, models.UUIDField):
        yield f"length({column}) <> 32 OR {column} GLOB '*[^0-9a-f]*'"
    elif isinstance(kept, models.DateTimeField):
        is_moment = f"{column} GLOB '{MOMENT}' OR {column} GLOB '{MOMENT}.{'[0-9]' * 6}'"
        yield f"{column} IS NOT NULL AND (NOT ({is_moment}) OR datetime({column}) IS NULL)"
    elif isinstance(kept, models.DateField):
        yield f"{column} IS NOT NULL AND ({column} NOT GLOB '{DATE}' OR date({column}) IS NULL)"
