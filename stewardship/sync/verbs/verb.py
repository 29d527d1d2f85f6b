"""What a verb is."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from django.db.models import Model

from stewardship.journal.book import Survey
from stewardship.journal.fields import Closed
from stewardship.journal.models import Record

ANYTHING: Any = object()
"""Stands in ``Verb.besides`` for whatever is said in a field."""


@dataclass(frozen=True)
class Verb:
    """One act on one type of record."""

    record: type[Record]
    fields: type[Closed]
    service: Callable[..., Record]
    may: str
    """The capability that it takes."""
    besides: Mapping[tuple[str, Any], str] = field(default_factory=dict)
    """(field, value sent in it, or ``ANYTHING``) -> the capability that it takes beside ``may``."""
    own: bool = False
    """Whether it is the author's own to do; anybody else needs ``amend_anyones``."""
    reason: bool = False
    """Whether it says why: so does every correction of a legal record."""
    behind: Mapping[str, type[Record]] = field(default_factory=dict)
    """Records that the target points to and the service changes or sums: column -> model; locked."""
    through: Mapping[str, tuple[str, type[Record]]] = field(default_factory=dict)
    """Records that one named in the fields points to: field -> (its column, model); read, not locked."""
    ahead: Mapping[str, "Ahead | tuple[Ahead, ...]"] = field(default_factory=dict)
    """Records that others point to: path of the field that names those -> where their ids are found, without a lock, so
    that what the service changes is locked in the one order with all the rest."""
    carried: tuple["Listed", ...] = ()
    """Records that point to the target and take over what is corrected in it: (model, its column); locked before it."""
    lists: Mapping[str, "Listed | tuple[Listed, ...]"] = field(default_factory=dict)
    """Records that point to one named in the fields: path of the field (``id``, ``mixed_by``, ``parts[].product``), or
    a column of the target (``.mixed_by_id``) -> (model, its column), or several; read, not locked."""
    gathers: Mapping[str, "Listed | tuple[Listed, ...]"] = field(default_factory=dict)
    """The same for records that the service changes: locked, once what they point to is."""
    surveys: tuple[Survey, ...] = ()
    """What the service compares with across the book: each is asked once for all mutations of an entry together."""
    whole: tuple[type[Record], ...] = ()
    """Reference types of which the service looks at every row of the group, such as limits; read, not locked."""

    takes_up: bool = False
    """Whether it performs what its target holds, and what waits for that (``sync/releasing.py``)."""

    def listed(self) -> Iterator[tuple[str, "Listed"]]:
        """Give each field of ``lists`` with each of its (model, column)."""
        return _each(self.lists)

    def gathered(self) -> Iterator[tuple[str, "Listed"]]:
        """Give each field of ``gathers`` with each of its (model, column)."""
        return _each(self.gathers)

    def looked_up(self) -> Iterator[tuple[str, "Ahead"]]:
        """Give each field of ``ahead`` with each of the places where ids are found."""
        for name, places in self.ahead.items():
            for place in (places,) if isinstance(places, Ahead) else places:
                yield name, place


Listed = tuple[type[Record], str]


def _each(listed: Mapping[str, Listed | tuple[Listed, ...]]) -> Iterator[tuple[str, Listed]]:
    for name, keys in listed.items():
        for key in keys if isinstance(keys[0], tuple) else (keys,):
            yield name, key


class Ahead(NamedTuple):
    """Where the ids of records stand: in ``points`` of the ``source`` rows whose ``key`` is what was named."""

    source: type[Model]
    key: str
    points: str
    model: type[Record]
    lock: bool = True


Verbs = dict[tuple[str, str], Verb]
"""(type, op) -> verb."""


def enter_and_amend(record: type[Record], may: str, create: tuple[Any, Any], amend: tuple[Any, Any]) -> Verbs:
    """Return the two verbs of a type that is entered and corrected; each pair is (fields, service)."""
    return {
        (record.kind, "create"): Verb(record, *create, may),
        (record.kind, "amend"): Verb(record, *amend, may),
    }
