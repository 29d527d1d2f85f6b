"""Which records a struct names: found once, by its type, from the marks of ``fields.Ref``."""

from collections.abc import Callable, Iterable, Iterator
from functools import cache
from typing import Any, NamedTuple

import msgspec
from msgspec import UNSET, inspect

Read = Callable[[Any], Iterable[Any]]


class Reference(NamedTuple):
    """One place in a struct where a record's id stands."""

    path: str
    model: Any
    lock: bool
    read: Read
    """Gives the ids that stand there in a struct: none, one, or those of a list."""


@cache
def references(struct: type) -> tuple[Reference, ...]:
    """Return every place in this struct type, nested ones included, where a record's id stands."""
    return tuple(_in_struct(inspect.type_info(struct), "", _itself))


def _in_struct(info: Any, path: str, read: Read) -> Iterator[Reference]:
    for field in info.fields:
        yield from _in_type(field.type, f"{path}{field.name}", _field(read, field.name))


def _in_type(info: Any, path: str, read: Read, mark: dict[str, Any] | None = None) -> Iterator[Reference]:
    if isinstance(info, inspect.Metadata):
        yield from _in_type(info.type, path, read, (info.extra or {}) or mark)
    elif isinstance(info, inspect.UnionType):
        for member in info.types:
            yield from _in_type(member, path, read, mark)
    elif isinstance(info, inspect.StructType):
        yield from _in_struct(info, f"{path}.", read)
    elif isinstance(info, inspect.ListType):
        yield from _in_type(info.item_type, f"{path}[]", _items(read))
    elif isinstance(info, inspect.UUIDType) and mark and "record" in mark:
        yield Reference(path, mark["record"], mark["lock"], read)


def _itself(value: Any) -> Iterator[Any]:
    yield value


def _field(read: Read, name: str) -> Read:
    return _own(name) if read is _itself else _nested(read, name)


def _own(name: str) -> Read:
    def at(value: Any) -> Iterable[Any]:
        part = getattr(value, name, None)
        return () if part is None or part is UNSET else (part,)

    return at


def _nested(read: Read, name: str) -> Read:
    def at(value: Any) -> Iterator[Any]:
        for whole in read(value):
            if isinstance(whole, msgspec.Struct):
                part = getattr(whole, name, None)
                if part is not None and part is not UNSET:
                    yield part

    return at


def _items(read: Read) -> Read:
    def each(value: Any) -> Iterator[Any]:
        for members in read(value):
            yield from members

    return each
