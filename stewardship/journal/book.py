"""The one way to write a record: load, decide in memory, write in sets, number last."""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Any, NamedTuple, TypeVar
from uuid import UUID

from django.db import models, transaction

from stewardship.errors import IdTaken, RuleViolation, Unavailable
from stewardship.journal import chain, contents, rows
from stewardship.journal.ids import new_id, new_salts
from stewardship.journal.making import make, values_of
from stewardship.journal.models import Book, Record, Revision
from stewardship.journal.ordering import insert_order, write_order

R = TypeVar("R", bound=Record)
M = TypeVar("M", bound=models.Model)
T = TypeVar("T")


Survey = Callable[["Entry", list[Any]], Any]
"""Reads, with one statement and without a lock, what all these wishes are compared with; it changes nothing."""


_UNREAD: Any = object()
"""Stands for a record of which nobody knows yet whether there is one."""


class Cause(NamedTuple):
    """Why records change: the mutation, what the person does, the reason given, and what was sent if it was."""

    mid: UUID
    op: str
    reason: str = ""
    sent: Any = None


class Step(NamedTuple):
    """One staged creation (``old`` is None) or change of a record, with what it then said if that is told."""

    record: Any
    old: dict[str, Any] | None
    cause: Cause
    rev: int
    content: str | None


@contextmanager
def open_entry(*, group_id: UUID, by: Any, at: datetime, device_id: UUID | None = None) -> Iterator["Entry"]:
    """Open one transaction on a group's records; what was staged is written at its end.

    ``by`` has a ``person_id``; ``at`` is the server's time. The outermost transaction commits here.
    """
    with transaction.atomic(durable=True):
        entry = Entry(group_id=group_id, by=by, at=at, device_id=device_id)
        yield entry
        entry.write()


class Entry:
    """What one person did at one time, staged in memory until it is written."""

    def __init__(self, *, group_id: UUID, by: Any, at: datetime, device_id: UUID | None = None) -> None:
        self.group_id, self.by, self.at, self.device_id = group_id, by, at, device_id
        self.cause = Cause(new_id(), "write")
        self.taken: set[UUID] = set()
        """Ids of new records that stand for something else already, where that was looked for."""
        self.seq_of: dict[tuple[UUID, int], int] = {}
        """Filled when written: (record, rev) -> the revision's number in the book."""
        self.held = 0
        """Mutations held in this entry, until a person settles them."""
        self.surveyed: dict[Survey, Any] = {}
        """What each survey found when the mutations were loaded."""
        self._found: dict[Hashable, Any] = {}
        self._known: defaultdict[type, dict[UUID, Any]] = defaultdict(dict)
        self._locked: defaultdict[type, set[UUID]] = defaultdict(set)
        self._lists: dict[tuple[type, str, UUID], list[Any]] = {}
        self._wholes: dict[type, list[Any]] = {}
        self._new_ids: set[UUID] = set()
        self._made: dict[type, list[Any]] = {}
        self._steps: list[Step] = []
        self._rows: list[models.Model] = []
        self._emptied: list[UUID] = []
        self._is_written = False

    # -- looking ---------------------------------------------------------------------------------

    def load(self, model: type[Record], ids: Iterable[UUID], *, lock: bool = True) -> None:
        """Read these records, in id order, with one statement, and lock them unless ``lock`` is false.

        One that was read without a lock before is read again: the same object then says what stands under the lock.
        """
        known, locked = self._known[model], self._locked[model]
        wanted = sorted(set(ids) - (locked if lock else known.keys()) - self._new_ids)
        if not wanted:
            return
        for i in wanted:
            known.setdefault(i, None)
        if lock:
            locked.update(wanted)
        for record in rows.select(model, lock=lock, group_id=self.group_id, id=wanted):
            self._keep(record)

    def _keep(self, record: Record) -> Any:
        """Return the one object that stands for a record here; it says what was read last, unless it was changed."""
        of_its_type = self._known[type(record)]
        known = of_its_type.setdefault(record.id, record)
        if known is None:
            known = of_its_type[record.id] = record
        elif known is not record and record.id in self._locked[type(record)] and not self.is_staged(known):
            vars(known).update(vars(record))
            self._found.clear()
        return known

    def is_staged(self, record: Record) -> bool:
        """Tell whether the entry itself has made or changed this record."""
        return any(step.record is record for step in self._steps)

    def load_lists(self, model: type[Record], column: str, ids: Iterable[UUID], *, lock: bool = False) -> None:
        """Read the records whose ``column`` is one of these ids, with one statement; none points to a new one yet."""
        unread = {i for i in ids if (model, column, i) not in self._lists}
        self._lists.update({(model, column, i): [] for i in unread})
        wanted = unread - self._new_ids
        if not wanted:
            return
        where: dict[str, Any] = {"group_id": self.group_id, column: wanted}
        for record in rows.select(model, lock=lock, **where):
            if lock:
                self._locked[model].add(record.id)
            self._lists[model, column, getattr(record, column)].append(self._keep(record))

    def find(self, model: type[R], id: UUID) -> R | None:
        """Return the record or None."""
        found: R | None = self._known[model].get(id, _UNREAD)
        if found is _UNREAD:
            self.load(model, [id])
            found = self._known[model][id]
        return found

    def get(self, model: type[R], id: UUID) -> R:
        """Return the record; raises Unavailable."""
        record = self.find(model, id)
        if record is None:
            raise Unavailable
        return record

    def list_of(self, model: type[R], column: str, id: UUID) -> list[R]:
        """Return the records whose ``column`` is this id, in id order, with what this entry staged itself."""
        if (model, column, id) not in self._lists:
            self.load_lists(model, column, [id])
        stored, made = self._lists[model, column, id], self._made.get(model, ())
        seen = {record.id for record in stored} if made else ()
        fresh = [r for r in made if getattr(r, column) == id and r.id not in seen]
        return [r for r in stored if getattr(r, column) == id] + fresh

    def list_beside(self, model: type[R], column: str, target: Record) -> list[R]:
        """Return ``list_of`` for a record, read with one statement for all records of its type that are known here."""
        if not self.has_list(model, column, target):
            self.load_lists(model, column, self.known(type(target)))
        return self.list_of(model, column, target.id)

    def has_list(self, model: type[Record], column: str, target: Record) -> bool:
        """Return whether the records whose ``column`` is this record's id were read already."""
        return (model, column, target.id) in self._lists

    def known(self, model: type[Record]) -> dict[UUID, Any]:
        """Return the records of a type that were read or made here so far, by id."""
        return {id: record for id, record in self._known[model].items() if record is not None}

    def is_locked(self, record: Record) -> bool:
        """Return whether this entry holds the record's lock, or made it: nobody else changes it meanwhile."""
        return record.id in self._locked[type(record)] or record.id in self._new_ids

    def load_all(self, model: type[Record]) -> None:
        """Read every record of a small type, with one statement, without a lock."""
        if model not in self._wholes:
            self._wholes[model] = [self._keep(record) for record in rows.select(model, group_id=self.group_id)]

    def all_of(self, model: type[R]) -> list[R]:
        """Return every record of a small type, in id order, with what this entry staged itself."""
        self.load_all(model)
        whole, made = self._wholes[model], self._made.get(model)
        if not made:
            return whole
        seen = {record.id for record in whole}
        return whole + [record for record in made if record.id not in seen]

    def once(self, key: Hashable, find: Callable[[], T]) -> T:
        """Return what ``find`` returns, and under the same key the same again until anything is changed here.

        It may rest on whatever records say, and on no derived column. The key names each record that stands alone.
        """
        if key not in self._found:
            self._found[key] = find()
        found: T = self._found[key]
        return found

    def staged(self, model: type[R]) -> list[R]:
        """Return the records of this type that the entry itself has made so far."""
        return list(self._made.get(model, ()))

    def cause_of(self, record: Record) -> Cause | None:
        """Return why the entry itself made this record; None if it was there before."""
        return next((step.cause for step in self._steps if step.old is None and step.record is record), None)

    # -- staging ---------------------------------------------------------------------------------

    def create(self, model: type[R], *, id: UUID | None, **values: Any) -> R:
        """Stage a new record; without an id it gets one. Raises IdTaken."""
        id = id or new_id()
        if id in self._new_ids or self._known[model].get(id) is not None:
            raise IdTaken
        own = {"id": id, "group_id": self.group_id, "entered_by_id": self.by.person_id, "entered_at": self.at}
        record: R = make(model, own | values)
        self._known[model][id] = record
        self._new_ids.add(id)
        self._made.setdefault(model, []).append(record)
        self._stage(record, None, told=True)
        return record

    def change(self, record: R, **values: Any) -> R:
        """Stage new values of columns. Equal values are no change; derived columns alone make no revision."""
        if not self.is_locked(record):
            raise RuntimeError(f"{record.kind} {record.id} is changed without its lock")
        old = {name: getattr(record, name) for name in values if getattr(record, name) != values[name]}
        if not old:
            return record
        told = not old.keys() <= record.derived
        old["rev"] = record.rev
        for name in old.keys() - {"rev"}:
            setattr(record, name, values[name])
        record.rev += told
        self._stage(record, old, told=told)
        return record

    def _stage(self, record: Record, old: dict[str, Any] | None, *, told: bool) -> None:
        content = contents.text_of(record) if told else None
        if told and not (old is None and record.stands_alone):
            self._found.clear()
        self._steps.append(Step(record, old, self.cause, record.rev, content))

    def empty(self, record: R, **values: Any) -> R:
        """Stage new values, and that everything which the record said before is erased: its newest state stays alone.

        What is emptied has to be named by an ``Erasure`` of the same entry.
        """
        self.change(record, **values)
        self._emptied.append(record.id)
        return record

    def add(self, row: models.Model) -> None:
        """Stage a row that is no record (a job, a person): written in the same transaction, not in the book.

        Of rows of a model that ``keeps_first``, one whose key is taken is left out when they are written.
        """
        self._rows.append(row)

    def added(self, model: type[M]) -> list[M]:
        """Return the rows of this type that were added so far: they are not in the database yet."""
        return [row for row in self._rows if isinstance(row, model)]

    @contextmanager
    def attempt(self) -> Iterator[None]:
        """All of this or nothing: a broken rule takes back what was staged inside."""
        mark, row_mark, emptied_mark = len(self._steps), len(self._rows), len(self._emptied)
        try:
            yield
        except RuleViolation:
            self._take_back(mark)
            del self._rows[row_mark:]
            del self._emptied[emptied_mark:]
            raise

    def _take_back(self, mark: int) -> None:
        self._found.clear()
        for step in reversed(self._steps[mark:]):
            if step.old is None:
                self._known[type(step.record)][step.record.id] = None
                self._new_ids.discard(step.record.id)
                self._made[type(step.record)].pop()
            else:
                vars(step.record).update(step.old)
        del self._steps[mark:]

    def mark(self) -> int:
        """Return a mark of how much was staged so far."""
        return len(self._steps)

    def told_since(self, mark: int) -> bool:
        """Return whether anything staged since the mark makes a revision."""
        return any(step.content is not None for step in self._steps[mark:])

    # -- writing ---------------------------------------------------------------------------------

    def write(self) -> None:
        """Write what was staged, once: rows set by set, then the revisions, numbered last."""
        if self._is_written:
            return
        self._is_written = True
        new: dict[type, list[Any]] = {}
        changed: dict[type, dict[UUID, tuple[Any, set[str]]]] = {}
        for record, old, *_ in self._steps:
            if old is None:
                new.setdefault(type(record), []).append(record)
            else:
                changed.setdefault(type(record), {}).setdefault(record.id, (record, set()))[1].update(old)
        self._write_rows()
        for model in sorted(new, key=insert_order):
            rows.insert(model, [values_of(record) for record in new[model]])
            for record in new[model]:
                changed.get(model, {}).pop(record.id, None)
        for model in sorted(changed, key=write_order):
            _update(model, changed[model])
        self._project(new, changed)
        self._number([step for step in self._steps if step.content is not None])
        self._erase()

    def _write_rows(self) -> None:
        by_model: dict[type, list[models.Model]] = {}
        for row in self._rows:
            by_model.setdefault(type(row), []).append(row)
        for model, members in by_model.items():
            rows.insert(model, [values_of(row) for row in members], keep_first=getattr(model, "keeps_first", False))

    def _project(self, new: dict[Any, list[Any]], changed: dict[Any, Any]) -> None:
        for model in sorted(new.keys() | changed.keys(), key=write_order):
            again = [record for record, names in changed.get(model, {}).values() if _is_told(record, names)]
            for projection in model.projections:
                rows.delete(projection, projection.source, [record.id for record in again])
                made = [v for r in (*new.get(model, ()), *again) for v in projection.rows_of(r)]
                rows.insert(projection, [values_of(make(projection, self._owned(v))) for v in made])

    def _owned(self, values: dict[str, Any]) -> dict[str, Any]:
        return {"id": new_id(), "group_id": self.group_id} | values

    def _number(self, told: list[Step]) -> None:
        """Take the group's next numbers, last of all locks, and write the revisions."""
        if not told and not self.held:
            return
        book = Book.objects.select_for_update(no_key=True).get(group_id=self.group_id)
        lines = []
        for step, salt in zip(told, new_salts(len(told)), strict=True):
            book.head += 1
            lines.append(self._revision(book, step, salt))
            self.seq_of[step.record.id, step.rev] = book.head
        rows.insert(Revision, lines)
        Book.objects.filter(group_id=self.group_id).update(
            head=book.head, head_hash=book.head_hash, held=book.held + self.held
        )

    def _erase(self) -> None:
        """Empty all revisions but the newest of what was erased; the guard of the book lets nothing else happen."""
        if not self._emptied:
            return
        own = Revision.objects.filter(group_id=self.group_id, record_id=models.OuterRef("record_id"))
        newest = models.Subquery(own.order_by("-rev").values("rev")[:1])
        told = Revision.objects.filter(group_id=self.group_id, record_id__in=self._emptied, rev__lt=newest)
        told.exclude(content=None).update(content=None, salt=None)

    def _revision(self, book: Book, step: Step, salt: str) -> tuple[Any, ...]:
        record, cause = step.record, step.cause
        told = chain.Told(
            self.group_id, record.kind, record.id, step.rev, cause.op, cause.mid,
            self.by.person_id, self.device_id, self.at, cause.reason, record.audience(),
        )  # fmt: skip
        content_hash = chain.content_hash(salt, step.content or "")
        book.head_hash = chain.seal(book.head_hash, book.head, told, content_hash)
        return (self.group_id, book.head, *told[1:], step.content, salt, content_hash, book.head_hash)


def _is_told(record: Record, names: set[str]) -> bool:
    """Return whether any of these columns is part of what the record says: projections rest on that alone."""
    return not names - {"rev"} <= record.derived


def _update(model: type[Record], by_id: dict[UUID, tuple[Any, set[str]]]) -> None:
    names = set().union(*(names for _, names in by_id.values()))
    rows.update(model, names, [record for _, (record, _) in sorted(by_id.items())])
