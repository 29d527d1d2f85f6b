"""Many rows, one statement, on either engine."""

from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, date, datetime
from functools import cache, lru_cache
from operator import attrgetter
from typing import Any, TypeVar
from uuid import UUID

import orjson
from django.db import connection, models

COPY_FROM = 20
"""Rows; below this many a plain INSERT is faster than COPY (measured on PostgreSQL 15)."""

Rows = Sequence[Sequence[Any]]
Model = type[models.Model]
M = TypeVar("M", bound=models.Model)
Writers = tuple[tuple[int, Callable[[Any], Any]], ...]


def select(model: type[M], *, lock: bool = False, beside: str = "", **where: Any) -> list[M]:
    """Return the rows whose columns have these values, or one of several, in the order of their keys.

    ``lock`` locks them; ``beside`` names a foreign key, never empty, whose rows are read with them. The statement is
    put together here: for Django that is ten times the work of running it on SQLite.
    """
    reading = _reading(model, beside, connection.vendor)
    conditions = [_condition(model, name, value) for name, value in where.items()]
    wanted = " AND ".join(text for text, _ in conditions)
    keys = [_column(field) for field in model._meta.pk_fields]
    if connection.vendor == "sqlite":  # asked for this order it would read all of a group in it; with a plus it sorts
        keys = [f"+{key}" for key in keys]
    order = f"ORDER BY {', '.join(keys)}"
    locking = " FOR NO KEY UPDATE" if lock and connection.vendor == "postgresql" else ""
    with connection.cursor() as cursor:
        told = [value for _, values in conditions for value in values]
        cursor.execute(f"{reading.statement} WHERE {wanted} {order}{locking}", told)
        return [reading.made_of(row) for row in cursor.fetchall()]


def insert(model: Model, rows: Rows, *, keep_first: bool = False) -> None:
    """Insert rows, each a sequence of values in the order of the model's columns, with one statement.

    With ``keep_first`` a row that a unique constraint refuses is left out: what is there stays as it is.
    """
    if not rows:
        return
    table, columns = _names(model)
    into = f"{table} ({', '.join(columns)})"
    writers = _writers(model, connection.vendor)
    rows = [_stored(row, writers) for row in rows]
    unless = " ON CONFLICT DO NOTHING" if keep_first else ""
    if connection.vendor == "sqlite":
        marks = ", ".join(["%s"] * len(columns))
        with connection.cursor() as cursor:
            cursor.executemany(f"INSERT INTO {into} VALUES ({marks}){unless}", rows)
    elif len(rows) >= COPY_FROM and not keep_first:
        _copy(into, rows)
    else:
        _execute(f"INSERT INTO {into} VALUES {_marks(rows)}{unless}", rows)


def update(model: Model, names: Iterable[str], records: Sequence[models.Model]) -> None:
    """Write the named columns of these records with one statement."""
    if not records:
        return
    table, _ = _names(model)
    fields = [f for f in model._meta.concrete_fields if f.attname == "id" or f.attname in set(names)]
    fields.sort(key=lambda field: field.attname != "id")
    read = attrgetter(*(f.attname for f in fields))
    writers = _needed(fields, connection.vendor)
    rows = [_stored(read(record), writers) for record in records]
    if connection.vendor == "sqlite":
        sets = ", ".join(f'"{f.column}" = %s' for f in fields[1:])
        with connection.cursor() as cursor:
            cursor.executemany(f'UPDATE {table} SET {sets} WHERE "id" = %s', [row[1:] + row[:1] for row in rows])
    else:
        _update_from_values(table, fields, rows)


def delete(model: Model, column: str, values: Sequence[Any]) -> None:
    """Delete the rows whose column is one of these values, with one statement."""
    if values:
        model._base_manager.filter(**{f"{column}__in": values}).delete()


def _condition(model: Model, name: str, value: Any) -> tuple[str, list[Any]]:
    """Return the condition on a column, and the values that stand for its marks."""
    field = model._meta.get_field(name)
    is_one = not isinstance(value, set | list)
    several = [value] if is_one else list(value)
    write = _writer(field, connection.vendor)
    stored = [write(each) if write and each is not None else each for each in several]
    if is_one:
        return f"{_column(field)} = %s", stored
    if connection.vendor == "postgresql":
        return f"{_column(field)} = ANY(%s)", [stored]
    return f"{_column(field)} IN ({', '.join(['%s'] * len(stored))})", stored


def _column(field: Any) -> str:
    return f'"{field.model._meta.db_table}"."{field.column}"'


class _Reading:
    """How all rows of a model are read: the statement, and what its values become. As Django has it."""

    def __init__(self, model: Model, beside: str) -> None:
        rows = model._base_manager.order_by()
        compiler = (rows.select_related(beside) if beside else rows).query.get_compiler(connection.alias)
        self.statement, _ = compiler.as_sql()
        columns = [column for column, *_ in compiler.select]
        self.converters = [(place, *told) for place, told in compiler.get_converters(columns).items()]
        self.model, self.names, self.beside = model, _attributes(model), beside
        self.other: Any = model._meta.get_field(beside).related_model if beside else None

    def made_of(self, row: Sequence[Any]) -> Any:
        """Return the row as Django would, with the one beside it."""
        values = list(row)
        for place, several, column in self.converters:
            for convert in several:
                values[place] = convert(values[place], column, connection)
        own = len(self.names)
        made = self.model.from_db(connection.alias, self.names, values[:own])
        if self.other:
            setattr(made, self.beside, self.other.from_db(connection.alias, _attributes(self.other), values[own:]))
        return made


@cache
def _reading(model: Model, beside: str, vendor: str) -> _Reading:
    return _Reading(model, beside)


@cache
def _attributes(model: Model) -> list[str]:
    return [field.attname for field in model._meta.concrete_fields]


def _update_from_values(table: str, fields: Sequence[Any], rows: Rows) -> None:
    sets = ", ".join(f'"{f.column}" = new."{f.column}"' for f in fields[1:])
    names = ", ".join(f'"{f.column}"' for f in fields)
    one = "(" + ", ".join(f"CAST(%s AS {_kind(f)})" for f in fields) + ")"
    values = ", ".join([one] * len(rows))
    _execute(f'UPDATE {table} AS old SET {sets} FROM (VALUES {values}) AS new({names}) WHERE old."id" = new."id"', rows)


def _kind(field: Any) -> str:
    """Return a column's type without its length: a cast to varchar(n) would cut a text instead of refusing it."""
    return str(field.db_type(connection)).split("(")[0]


def _copy(into: str, rows: Rows) -> None:
    """COPY the rows; Django knows no COPY, so its errors are made Django's here."""
    with connection.wrap_database_errors, connection.cursor() as cursor, cursor.copy(f"COPY {into} FROM STDIN") as copy:
        for row in rows:
            copy.write_row(row)


def _execute(sql: str, rows: Rows) -> None:
    with connection.cursor() as cursor:
        cursor.execute(sql, [value for row in rows for value in row])


def _marks(rows: Rows) -> str:
    one = "(" + ", ".join(["%s"] * len(rows[0])) + ")"
    return ", ".join([one] * len(rows))


@cache
def _names(model: Model) -> tuple[str, list[str]]:
    return f'"{model._meta.db_table}"', [f'"{f.column}"' for f in model._meta.concrete_fields]


@cache
def _writers(model: Model, vendor: str) -> Writers:
    return _needed(model._meta.concrete_fields, vendor)


def _needed(fields: Iterable[Any], vendor: str) -> Writers:
    """Return the places in a row whose value is not taken as it is, and what writes it."""
    found = [(place, _writer(field, vendor)) for place, field in enumerate(fields)]
    return tuple((place, writer) for place, writer in found if writer)


def _stored(row: Sequence[Any], writers: Writers) -> list[Any]:
    values = list(row)
    for place, write in writers:
        if (value := values[place]) is not None:
            values[place] = write(value)
    return values


def _writer(field: Any, vendor: str) -> Callable[[Any], Any] | None:
    """Return what turns a value of this column into what the driver takes, or None where it takes it as it is."""
    target = field.target_field if field.is_relation else field
    if isinstance(target, models.JSONField):
        return _json
    return _SQLITE.get(type(target)) if vendor == "sqlite" else None


def _json(value: Any) -> str:
    return orjson.dumps(value).decode()


def _hex(value: UUID) -> str:
    return value.hex


@lru_cache(maxsize=1024)
def _naive_utc(value: datetime) -> str:
    return value.astimezone(UTC).replace(tzinfo=None).isoformat(" ")


_SQLITE: dict[type, Callable[[Any], Any]] = {
    models.UUIDField: _hex,
    models.DateTimeField: _naive_utc,
    models.DateField: date.isoformat,
}
