"""The canonical content of a record: the same JSON on every engine, whatever wrote it.

A quantity stands in three columns (``mix_nl``, ``mix_value``, ``mix_unit``) and is told as one value:
``"mix": {"value": "40", "unit": "fl_oz", "nl": 1182941183}``.
"""

from collections.abc import Callable
from datetime import UTC, date, datetime, time
from functools import cache, lru_cache
from operator import itemgetter
from typing import Any
from uuid import UUID

import orjson
from django.db import models

OWN = frozenset({"id", "group_id", "rev", "entered_by_id", "entered_at"})
BASES = ("nl", "ug", "mm2", "nm", "um_s", "mc")
Told = tuple[str, Callable[[dict[str, Any]], Any]]
"""The name of something that a record says, and how to read it from its columns."""


def of(record: Any) -> dict[str, Any]:
    """Return the content of a record: its columns without ids of its own, derived ones and what it leaves unsaid."""
    values = vars(record)
    model: type[models.Model] = type(record)
    return {name: tell(values) for name, tell in plan(model)}


def text_of(record: Any) -> str:
    """Return the text of what a record says: ``canonical(of(record))``, without each value made by itself."""
    values = vars(record)
    model: type[models.Model] = type(record)
    names, read, amounts = _at_once(model)
    told = dict(zip(names, read(values), strict=True))
    for name, tell in amounts:
        told[name] = tell(values)
    return orjson.dumps(told, default=_of_time, option=orjson.OPT_SORT_KEYS | orjson.OPT_PASSTHROUGH_DATETIME).decode()


def canonical(content: dict[str, Any]) -> str:
    """Return the one text of a content: keys sorted, no spaces, UTF-8."""
    return orjson.dumps(content, option=orjson.OPT_SORT_KEYS).decode()


@cache
def plan(model: type[models.Model]) -> list[Told]:
    """Return, for each thing that a record of this model says, its name and how to read it."""
    plain, amounts = _columns(model)
    return [(name, _plain(column)) for name, column in plain.items()] + amounts


@cache
def _at_once(model: type[models.Model]) -> tuple[list[str], Callable[[dict[str, Any]], Any], list[Told]]:
    """Return the names of what stands in one column each, what reads those columns, and how the rest is read."""
    plain, amounts = _columns(model)
    columns = list(plain.values())
    return list(plain), itemgetter(*columns) if len(columns) > 1 else _each(columns), amounts


def _each(columns: list[str]) -> Callable[[dict[str, Any]], Any]:
    return lambda values: [values[column] for column in columns]


def _columns(model: type[models.Model]) -> tuple[dict[str, str], list[Told]]:
    """Return name -> column of what stands in one, and the quantities, which stand in three."""
    apart: frozenset[str] = getattr(model, "derived", frozenset()) | getattr(model, "unsaid", frozenset())
    fields = {f.attname: f for f in model._meta.concrete_fields if f.attname not in OWN | apart}
    quantities = {q: b for name in fields for q, b in [_quantity(name, fields)] if q}
    parts = {f"{q}_{p}" for q, b in quantities.items() for p in ("value", "unit", b)}
    plain = {f.name: name for name, f in fields.items() if name not in parts}
    return plain, [(q, _amount(q, b)) for q, b in quantities.items()]


@cache
def plan_derived(model: type[models.Model]) -> list[Told]:
    """Return the same for the columns that are computed from other records."""
    derived: frozenset[str] = getattr(model, "derived", frozenset())
    return [(f.name, _plain(f.attname)) for f in model._meta.concrete_fields if f.attname in derived]


def _quantity(name: str, fields: dict[str, Any]) -> tuple[str, str]:
    for base in BASES:
        stem = name.removesuffix(f"_{base}")
        if stem != name and {f"{stem}_value", f"{stem}_unit"} <= fields.keys():
            return stem, base
    return "", ""


def _amount(stem: str, base: str) -> Callable[[dict[str, Any]], Any]:
    keys = f"{stem}_value", f"{stem}_unit", f"{stem}_{base}"

    def tell(values: dict[str, Any]) -> dict[str, Any] | None:
        value, unit, amount = (values[key] for key in keys)
        return None if amount is value is unit is None else {"value": value, "unit": unit, base: amount}

    return tell


def _plain(column: str) -> Callable[[dict[str, Any]], Any]:
    def tell(values: dict[str, Any]) -> Any:
        value = values[column]
        return _TELL.get(type(value), _same)(value)

    return tell


@lru_cache(maxsize=1024)
def instant(moment: datetime) -> str:
    """Return a moment as RFC 3339 text in UTC, always with microseconds."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def _of_time(value: Any) -> str:
    """Return a value that JSON has no form for, as ``of`` does."""
    if type(value) is datetime:
        return instant(value)
    if isinstance(value, date | time):
        return value.isoformat()
    raise TypeError(f"{type(value).__name__} has no place in a content")


def _same(value: Any) -> Any:
    return value


_TELL: dict[type, Callable[[Any], Any]] = {UUID: str, datetime: instant, date: date.isoformat}
