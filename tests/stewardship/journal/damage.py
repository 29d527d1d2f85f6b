"""Damage done to a group's book by raw SQL, behind the product's back and with the guard away: one thing at a time.

It rests on nothing of the product but the names of tables and columns. A damage that the database itself refuses is no
damage; another is tried then.
"""

import json
import random
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from functools import cached_property
from hashlib import sha256
from typing import Any
from uuid import UUID

from django.db import DatabaseError, connection, models, transaction

from stewardship.journal.guard import lower_guard
from stewardship.journal.models import Book, Revision
from tests.audit import SEALED, record_types, sealed

NOT_OF_THE_BOOK = frozenset({"epoch"})
"""Of the book: it tells devices to pull anew and says nothing of what was recorded."""


class Undamaged(Exception):
    """Ends a damage: everything is as it was before."""


@contextmanager
def undone() -> Iterator[None]:
    """Undo whatever is done inside."""
    try:
        with transaction.atomic():
            lower_guard(connection)
            yield
            raise Undamaged
    except Undamaged:
        return


class Vandal:
    """Does one random damage after another to the book of one group."""

    def __init__(self, group_id: UUID, seed: int) -> None:
        """``seed``: the same one does the same damage to the same book."""
        self.group_id, self.seed, self.random = group_id, seed, random.Random(seed)

    @cached_property
    def tables(self) -> list[Any]:
        """Return the types of which the group has records."""
        return [t for t in record_types() if t._default_manager.filter(group_id=self.group_id).exists()]

    def damages(self) -> str:
        """Do one thing and return what it was."""
        while True:
            act = self.random.choices(list(ACTS), weights=list(ACTS.values()))[0]
            try:
                with transaction.atomic():
                    if told := act(self):
                        return f"{act.__name__}: {told}"
            except DatabaseError:
                continue

    def seqs(self) -> list[int]:
        """Return the numbers of the book."""
        return list(Revision.objects.filter(group_id=self.group_id).order_by("seq").values_list("seq", flat=True))

    def run(self, sql: str, *values: Any) -> int:
        """Do it, and return how many rows it touched."""
        with connection.cursor() as cursor:
            cursor.execute(sql, values)
            return cursor.rowcount

    def stored(self, field: Any, value: Any) -> Any:
        """Return a value as the column keeps it."""
        return field.get_db_prep_save(value, connection)

    def another(self, field: Any, value: Any) -> Any:
        """Return another value for a column, as it is kept; sometimes one that it should never hold."""
        if self.random.random() < 0.1 and (never := self._never(field, value)):
            return never
        if value is not None and field.null and self.random.random() < 0.2:
            return None
        return self.stored(field, self._other(field, value))

    def _never(self, field: Any, value: Any) -> Any:
        """Return what the engine keeps in this column and nobody ever writes; None where it keeps no such."""
        target = field.target_field if field.is_relation else field
        if connection.vendor != "sqlite":
            return "infinity" if isinstance(target, models.DateField) else None
        told = ["tampered", "now", "2027-13-01"]
        if isinstance(value, UUID):
            told += [str(value), f"{{{value.hex}}}"]
        if isinstance(value, datetime):
            told += [value.isoformat(), value.strftime("%Y-%m-%d %H:%M:%S.%f0")]
        return self.random.choice(told)

    def _other(self, field: Any, value: Any) -> Any:
        target = field.target_field if field.is_relation else field
        if isinstance(target, models.UUIDField):
            return UUID(int=self.random.getrandbits(128))
        if isinstance(target, models.BooleanField):
            return not value
        if isinstance(target, models.IntegerField):
            return (value or 0) + self.random.choice([1, 2, 100])
        if isinstance(target, models.DateTimeField):
            return (value or datetime(2027, 1, 1, tzinfo=UTC)) + timedelta(microseconds=1)
        if isinstance(target, models.DateField):
            return (value or datetime(2027, 1, 1, tzinfo=UTC).date()) + timedelta(days=1)
        if isinstance(target, models.JSONField):
            return [value, "tampered"]
        return self._text(value or "", target.max_length)

    def _text(self, text: str, most: int | None) -> str:
        """Return the text with one more letter, or with another one where it has no room."""
        place = self.random.randrange(len(text) + 1)
        letter = self.random.choice("0123456789abcdef")
        if most is None or len(text) < most:
            return text[:place] + letter + text[place:]
        place = min(place, len(text) - 1)
        return text[:place] + ("x" if letter == text[place] else letter) + text[place + 1 :]


# -- what is done ------------------------------------------------------------------------------------


COLUMNS = [field for field in Revision._meta.concrete_fields if field.column]
"""Those of a revision; its key is made of two of them."""


def changes_a_revision(vandal: Vandal) -> str | None:
    return changes_a_line(vandal, vandal.random.choice(vandal.seqs()), vandal.random.choice(COLUMNS))


def changes_a_line(vandal: Vandal, seq: int, field: Any) -> str | None:
    value = Revision.objects.filter(group_id=vandal.group_id, seq=seq).values_list(field.attname, flat=True).get()
    other = vandal.another(field, value)
    group = vandal.stored(Book._meta.pk, vandal.group_id)
    sql = f'UPDATE journal_revision SET "{field.column}" = %s WHERE group_id = %s AND seq = %s'
    told = f"{field.column} of {seq} from {value!r} to {other!r}"
    return told if vandal.run(sql, other, group, seq) == 1 else None


def swaps_what_two_revisions_say(vandal: Vandal) -> str | None:
    one, two = vandal.random.sample(vandal.seqs(), 2)
    column = vandal.random.choice(["content", "by_id", "mid", "at", "reason", "hash", "content_hash"])
    says = dict(Revision.objects.filter(group_id=vandal.group_id, seq__in=[one, two]).values_list("seq", column))
    if says[one] == says[two]:
        return None
    Revision.objects.filter(group_id=vandal.group_id, seq=one).update(**{column: says[two]})
    Revision.objects.filter(group_id=vandal.group_id, seq=two).update(**{column: says[one]})
    return f"{column} of {one} and {two}"


def swaps_the_places_of_two_revisions(vandal: Vandal) -> str:
    one, two = vandal.random.sample(vandal.seqs(), 2)
    of_group = Revision.objects.filter(group_id=vandal.group_id)
    for before, after in ((one, -1), (two, one), (-1, two)):
        of_group.filter(seq=before).update(seq=after)
    return f"{one} and {two}"


def removes_a_revision(vandal: Vandal) -> str:
    seq = vandal.random.choice(vandal.seqs())
    Revision.objects.filter(group_id=vandal.group_id, seq=seq).delete()
    return str(seq)


def adds_a_revision(vandal: Vandal) -> str:
    copied = Revision.objects.get(group_id=vandal.group_id, seq=vandal.random.choice(vandal.seqs()))
    copied.seq, copied.rev = vandal.seqs()[-1] + vandal.random.choice([1, 5]), copied.rev + 50
    if vandal.random.random() < 0.5:
        copied.record_id, copied.rev = UUID(int=vandal.random.getrandbits(128)), 1
    copied.save(force_insert=True)
    return f"{copied.seq}, a copy"


def empties_a_revision(vandal: Vandal) -> str | None:
    kept = Revision.objects.filter(group_id=vandal.group_id).exclude(content=None).values_list("seq", flat=True)
    seq = vandal.random.choice(list(kept.order_by("seq")))
    Revision.objects.filter(group_id=vandal.group_id, seq=seq).update(content=None, salt=None)
    return str(seq)


def fills_an_erased_revision(vandal: Vandal) -> str | None:
    gone = Revision.objects.filter(group_id=vandal.group_id, content=None).order_by("seq").values_list("seq", flat=True)
    if not gone:
        return None
    seq = vandal.random.choice(list(gone))
    Revision.objects.filter(group_id=vandal.group_id, seq=seq).update(content="{}", salt="00" * 16)
    return str(seq)


def changes_the_book(vandal: Vandal) -> str | None:
    fields = [f for f in Book._meta.concrete_fields if not f.primary_key and f.attname not in NOT_OF_THE_BOOK]
    field = vandal.random.choice(fields)
    book = Book.objects.get(group_id=vandal.group_id)
    other = vandal.another(field, getattr(book, field.attname))
    group = vandal.stored(Book._meta.pk, vandal.group_id)
    vandal.run(f'UPDATE journal_book SET "{field.column}" = %s WHERE group_id = %s', other, group)
    return f"{field.column} to {other!r}"


def removes_the_book(vandal: Vandal) -> str:
    Book.objects.filter(group_id=vandal.group_id).delete()
    return "all of it"


def _some_record(vandal: Vandal) -> Any:
    model = vandal.random.choice(vandal.tables)
    return vandal.random.choice(list(model._default_manager.filter(group_id=vandal.group_id).order_by("id")))


def columns_that_say_something(model: Any) -> list[Any]:
    """Return the columns that are no mere sums of other records, nor left unsaid."""
    return [f for f in model._meta.concrete_fields if f.attname not in model.derived | model.unsaid]


def changes_a_record(vandal: Vandal) -> str | None:
    record = _some_record(vandal)
    return changes_a_column(vandal, record, vandal.random.choice(columns_that_say_something(record)))


def changes_a_column(vandal: Vandal, record: Any, field: Any) -> str | None:
    other = vandal.another(field, getattr(record, field.attname))
    key = vandal.stored(record._meta.pk, record.id)
    sql = f'UPDATE {record._meta.db_table} SET "{field.column}" = %s WHERE id = %s'
    told = f"{record.kind} {record.id}: {field.column} to {other!r}"
    return told if vandal.run(sql, other, key) == 1 else None


def swaps_two_records(vandal: Vandal) -> str | None:
    """Let two records of a type take each other's id, and with it all that the other one says."""
    model = vandal.random.choice(vandal.tables)
    records = list(model._default_manager.filter(group_id=vandal.group_id).order_by("id"))
    if len(records) < 2:
        return None
    one, two = vandal.random.sample(records, 2)
    if (one.rev, one.entered_at, one.content()) == (two.rev, two.entered_at, two.content()):
        return None
    spare = UUID(int=vandal.random.getrandbits(128))
    for before, after in ((one.id, spare), (two.id, one.id), (spare, two.id)):
        model._default_manager.filter(id=before).update(id=after)
    return f"{model.kind} {one.id} and {two.id}"


def removes_a_record(vandal: Vandal) -> str | None:
    record = _some_record(vandal)
    key = vandal.stored(record._meta.pk, record.id)
    gone = vandal.run(f"DELETE FROM {record._meta.db_table} WHERE id = %s", key)
    return f"{record.kind} {record.id}" if gone else None


def adds_a_record(vandal: Vandal) -> str:
    record = _some_record(vandal)
    record.id = UUID(int=vandal.random.getrandbits(128))
    record.save(force_insert=True)
    return f"{record.kind} {record.id}, a copy"


ACTS: dict[Callable[[Vandal], str | None], int] = {
    changes_a_revision: 8,
    swaps_what_two_revisions_say: 2,
    swaps_the_places_of_two_revisions: 1,
    removes_a_revision: 1,
    adds_a_revision: 1,
    empties_a_revision: 1,
    fills_an_erased_revision: 1,
    changes_the_book: 2,
    removes_the_book: 1,
    changes_a_record: 12,
    swaps_two_records: 1,
    removes_a_record: 1,
    adds_a_record: 1,
}
"""What is done -> how often."""


# -- a whole rewrite -----------------------------------------------------------------------------------

REWRITTEN = (*(name for name in SEALED if name != "group_id"), "content", "content_hash", "hash")


def rewrites(vandal: Vandal) -> str | None:
    """Change one revision and seal everything after it anew, as who knows how would: nothing contradicts it."""
    lines = list(Revision.objects.filter(group_id=vandal.group_id).order_by("seq"))
    place = vandal.random.randrange(len(lines))
    told = vandal.random.choice(REWRITES)(vandal, lines[place])
    if told is None:
        return None
    _seal_anew(vandal.group_id, lines)
    return f"number {lines[place].seq}: {told}"


def _another_reason(vandal: Vandal, line: Revision) -> str:
    line.reason += " indeed"
    return "another reason"


def _another_author(vandal: Vandal, line: Revision) -> str | None:
    others = Revision.objects.filter(group_id=vandal.group_id).exclude(by_id=line.by_id)
    if line.rev == 1 or not others:
        return None
    line.by_id = others.values_list("by_id", flat=True).first()
    return "another author"


def _another_content(vandal: Vandal, line: Revision) -> str | None:
    later = Revision.objects.filter(group_id=vandal.group_id, record_id=line.record_id, rev__gt=line.rev)
    if line.content is None or not later.exists():
        return None  # the newest state is compared with the record itself
    _says(line, json.loads(line.content) | {"note": "never mind"})
    return "another content"


def _another_state(vandal: Vandal, line: Revision) -> str | None:
    """Change the newest state of a record in its row too, where it has a note."""
    model = next(t for t in record_types() if t.kind == line.kind)
    told = json.loads(line.content or "{}")
    later = Revision.objects.filter(group_id=vandal.group_id, record_id=line.record_id, rev__gt=line.rev)
    if "note" not in told or later.exists():
        return None
    model._default_manager.filter(id=line.record_id).update(note="never mind")
    _says(line, told | {"note": "never mind"})
    return "another state"


def _says(line: Revision, told: dict[str, Any]) -> None:
    line.content = json.dumps(told, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
    line.content_hash = sha256(f"{line.salt}{line.content}".encode()).hexdigest()


REWRITES = (_another_reason, _another_author, _another_content, _another_state)


def forgets_the_newest(vandal: Vandal) -> str | None:
    """Take the book back to before its last number, as a backup does that was put back: nothing contradicts it."""
    lines = list(Revision.objects.filter(group_id=vandal.group_id).order_by("seq"))
    last = lines.pop()
    model = next(t for t in record_types() if t.kind == last.kind)
    if last.rev != 1:
        return None
    Revision.objects.filter(group_id=vandal.group_id, seq=last.seq).delete()
    vandal.run(f"DELETE FROM {model._meta.db_table} WHERE id = %s", vandal.stored(model._meta.pk, last.record_id))
    Book.objects.filter(group_id=vandal.group_id).update(head=lines[-1].seq, head_hash=lines[-1].hash)
    return f"number {last.seq}"


def _seal_anew(group_id: UUID, lines: list[Revision]) -> None:
    previous = "0" * 64
    for line in lines:
        previous = line.hash = sealed(previous, line)
        values = {name: getattr(line, name) for name in REWRITTEN}
        Revision.objects.filter(group_id=group_id, seq=line.seq).update(**values)
    Book.objects.filter(group_id=group_id).update(head_hash=previous)
