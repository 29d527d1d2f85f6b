"""Whether a group's book can be proved: everything that must hold of it, held against what stands in the database.

It is read twice in pages, so that memory does not grow with it: in the order of its numbers (hashes, chain, head) and
record by record (revisions 1 to the newest, and that the record's row says what the newest says). Writers go on
meanwhile: what looks wrong of a record is looked at again in one state of the database before it is told.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from itertools import islice, pairwise, starmap
from typing import Any, NamedTuple
from uuid import UUID

import orjson
from django.apps import apps
from django.db.models import OuterRef, QuerySet, Subquery

from stewardship.journal import chain, contents
from stewardship.journal.models import Book, Erasure, Record, Revision
from stewardship.journal.snapshots import in_index_order, snapshot
from stewardship.journal.untold import UNREADABLE, untold
from stewardship.journal.vouching import is_vouched_for

PAGE = 2000
"""Revisions, or records, that are in memory at once."""


class StepsUnreadable(Exception):
    """A page of revisions cannot be read record by record."""


class Finding(NamedTuple):
    """Something that does not hold, by a word for programs and a sentence for people."""

    code: str
    detail: str


class Line(NamedTuple):
    """A revision, by what its hash covers."""

    seq: Any
    kind: str
    record_id: UUID
    rev: int
    op: str
    mid: UUID
    by_id: UUID
    device_id: UUID | None
    at: Any
    reason: str
    audience: str
    content: str | None
    salt: str | None
    content_hash: str
    hash: str


class Step(NamedTuple):
    """A revision, by what is compared among those of one record and with its row; a content by its hash."""

    record_id: UUID
    rev: int
    seq: int
    kind: str
    audience: str
    by_id: UUID
    at: Any
    salt: str | None
    content_hash: str


class History(NamedTuple):
    """The revisions of one record: the first, the newest, and whether they follow each other as they must."""

    first: Step
    last: Step
    is_regular: bool


class Verification:
    """One look at a group's book: ``findings`` gives what does not hold, the counts tell what was looked at by then.

    ``heads``: number -> hash, as somebody remembers them: from a pull, a report, a paper.
    """

    def __init__(self, group_id: UUID, heads: Mapping[int, str] | None = None) -> None:
        self.group_id = group_id
        self.revisions = self.records = 0
        self.head, self.head_hash = 0, chain.BEGINNING
        self._unmet = dict(heads or {})
        self._emptied = emptied(group_id)

    def findings(self) -> Iterator[Finding]:
        """Give everything that does not hold."""
        yield from self._numbers()
        yield from self._heads()
        yield from self._record_by_record()
        yield from starmap(Finding, untold(self.group_id, record_types()))

    # -- in the order of the numbers ---------------------------------------------------------------

    def _numbers(self) -> Iterator[Finding]:
        """Read to the end; what is appended meanwhile is read too, until book and newest number are of one state."""
        newest: Any = None
        while True:
            for page in self._pages(newest):
                for line in page:
                    yield from self._follows(line) if isinstance(line, Line) else self._unread(line)
                newest = page[-1].seq if isinstance(page[-1], Line) else page[-1]
            book = _book(self.group_id)
            if book is None or newest == book[2] or not isinstance(book[2], int):
                break
        yield from self._ends(book)

    def _pages(self, after: Any) -> Iterator[list[Any]]:
        """Give pages of lines; of one that cannot be read its number alone."""
        lines = Revision.objects.filter(group_id=self.group_id).order_by("seq")
        while page := _page_of_lines(lines if after is None else lines.filter(seq__gt=after)):
            yield page
            after = page[-1].seq if isinstance(page[-1], Line) else page[-1]
            if not isinstance(after, int):
                return

    def _unread(self, seq: Any) -> Iterator[Finding]:
        yield Finding("revision_unreadable", f"Number {seq} cannot be read.")
        if isinstance(seq, int):
            kept = Revision.objects.filter(group_id=self.group_id, seq=seq)
            self._goes_on(seq, str(kept.values_list("hash", flat=True).first()))

    def _follows(self, line: Line) -> Iterator[Finding]:
        if line.seq != self.head + 1:
            yield Finding("numbers_broken", f"Number {line.seq} follows on number {self.head}.")
        yield from self._content(line)
        told = chain.Told(self.group_id, *line[1:11])
        if chain.seal(self.head_hash, line.seq, told, line.content_hash) != line.hash:
            yield Finding("chain_broken", f"Number {line.seq} is not what was sealed by its hash.")
        self._goes_on(line.seq, line.hash)
        if self._unmet.pop(line.seq, line.hash) != line.hash:
            yield Finding("head_differs", f"Number {line.seq} has another hash than the one that is remembered.")

    def _goes_on(self, seq: int, sealed: str) -> None:
        self.head, self.head_hash = seq, sealed
        self.revisions += 1

    def _content(self, line: Line) -> Iterator[Finding]:
        if line.content is None and line.salt is None:
            if not self._is_named(line):
                yield Finding("content_missing", f"Number {line.seq} is empty, and no erasure names it.")
        elif line.content is None or line.salt is None:
            yield Finding("content_half_empty", f"Of number {line.seq} only content or only salt is there.")
        elif chain.content_hash(line.salt, line.content) != line.content_hash:
            yield Finding("content_differs", f"Number {line.seq} says something else than what was hashed.")
        elif self._emptied.get(line.record_id, 0) >= line.rev:
            yield Finding("content_not_erased", f"Number {line.seq} was erased and still says something.")

    def _is_named(self, line: Line) -> bool:
        """Tell whether an erasure names this state; one that came after the reading began is looked up."""
        if self._emptied.get(line.record_id, 0) < line.rev:
            self._emptied = emptied(self.group_id)
        return self._emptied.get(line.record_id, 0) >= line.rev

    def _ends(self, book: tuple[int, str, int | None] | None) -> Iterator[Finding]:
        if book is None:
            yield Finding("book_missing", "The group has no book: nothing says where its history ends.")
            return
        head, head_hash, _ = book
        if head != self.head:
            yield Finding("head_wrong", f"The book says that it ends at number {head}; it ends at number {self.head}.")
        if head_hash != self.head_hash:
            yield Finding("head_hash_wrong", f"The hash of the book is not that of its last number, {self.head}.")

    def _heads(self) -> Iterator[Finding]:
        for seq in sorted(self._unmet):
            yield Finding("head_beyond", f"Number {seq} is remembered, and the book does not have it.")

    # -- record by record --------------------------------------------------------------------------

    def _record_by_record(self) -> Iterator[Finding]:
        models, histories = record_types(), _histories(self.group_id)
        try:
            while batch := list(islice(histories, PAGE)):
                yield from self._compared(models, batch)
        except StepsUnreadable:
            yield Finding("records_not_compared", "Not every record was compared: a revision cannot be read.")

    def _compared(self, models: Mapping[str, type[Record]], batch: list[History]) -> Iterator[Finding]:
        by_kind: dict[str, list[History]] = defaultdict(list)
        for history in batch:
            by_kind[history.last.kind].append(history)
        self.records += len(batch)
        for kind, histories in by_kind.items():
            found = _rows(models.get(kind), self.group_id, [each.last.record_id for each in histories])
            for history in histories:
                if not _agree(found.get(history.last.record_id), history):
                    yield from _looked_at_again(models.get(kind), self.group_id, history.last)


def groups() -> list[UUID]:
    """Return the groups that have a book, or should have one: a row of their own, or revisions."""
    found = set(Book.objects.values_list("group_id", flat=True))
    found |= set(apps.get_model("accounts", "Group").objects.values_list("id", flat=True))
    written = Revision.objects.order_by("group_id").values_list("group_id", flat=True)
    last = written.first()
    while last is not None:
        found.add(last)
        last = written.filter(group_id__gt=last).first()
    return sorted(found)


def emptied(group_id: UUID) -> dict[UUID, int]:
    """Return the records of which states were erased, each with the last revision that was."""
    named: dict[UUID, int] = {}
    for told in Erasure.objects.filter(group_id=group_id).order_by("id").values_list("emptied", flat=True):
        for each in told if isinstance(told, list) else ():
            try:
                id, through = UUID(each["id"]), int(each["through_rev"])
            except (*UNREADABLE, KeyError):
                continue  # that the erasure says something else than its revision is told of it as a record
            named[id] = max(through, named.get(id, 0))
    return named


def record_types() -> dict[str, type[Record]]:
    """Return every type of record by its kind."""
    return {model.kind: model for model in apps.get_models() if issubclass(model, Record)}


# -- reading -----------------------------------------------------------------------------------------


def _page_of_lines(lines: QuerySet[Revision]) -> list[Any]:
    try:
        with in_index_order():
            return [_numbered(Line(*row)) for row in lines.values_list(*Line._fields)[:PAGE]]
    except UNREADABLE:
        return [_line(lines, seq) for seq in lines.values_list("seq", flat=True)[:PAGE]]


def _line(lines: QuerySet[Revision], seq: Any) -> Any:
    """Return one line, or its number if it cannot be read."""
    try:
        return _numbered(Line(*lines.values_list(*Line._fields).get(seq=seq)))
    except UNREADABLE:
        return seq


def _numbered(line: Any) -> Any:
    """Return a line or a step whose numbers are numbers. Raises TypeError."""
    if not (isinstance(line.seq, int) and isinstance(line.rev, int)):
        raise TypeError
    return line


def _book(group_id: UUID) -> tuple[int, str, int | None] | None:
    """Return what the book says of its end, and the newest number that is there, of one state of the database."""
    newest = Revision.objects.filter(group_id=OuterRef("group_id")).order_by("-seq").values("seq")[:1]
    books = Book.objects.filter(group_id=group_id).values_list("head", "head_hash")
    try:
        return books.values_list("head", "head_hash", Subquery(newest)).first()
    except UNREADABLE:  # the newest number is none
        head, head_hash = books.get()
        return head, head_hash, None


def _histories(group_id: UUID) -> Iterator[History]:
    first = last = None
    is_regular = True
    for step in _steps(group_id):
        if first and last and step.record_id == first.record_id:
            is_regular = is_regular and _goes_on(last, step)
            last = step
            continue
        if first and last:
            yield History(first, last, is_regular)
        first = last = step
        is_regular = step.rev == 1
    if first and last:
        yield History(first, last, is_regular)


def _goes_on(last: Step, step: Step) -> bool:
    same = (last.kind, last.audience) == (step.kind, step.audience)
    return same and step.rev == last.rev + 1 and step.seq > last.seq


def _steps(group_id: UUID) -> Iterator[Step]:
    """Give the revisions record by record, in the order of the index that has each revision of a record once.

    An id that is kept in another form stands in the order of its text, and would come again and again.
    """
    steps = Revision.objects.filter(group_id=group_id).order_by("record_id", "rev")
    page = _page_of_steps(steps)
    last = page[0] if page else None
    while page and last:
        if any(step.record_id < before.record_id for before, step in pairwise([last, *page])):
            raise StepsUnreadable
        yield from page
        last = page[-1]
        page = _page_of_steps(steps.filter(record_id=last.record_id, rev__gt=last.rev))
        page = page or _page_of_steps(steps.filter(record_id__gt=last.record_id))


def _page_of_steps(steps: QuerySet[Revision]) -> list[Step]:
    try:
        with in_index_order():
            return [_numbered(Step(*row)) for row in steps.values_list(*Step._fields)[:PAGE]]
    except UNREADABLE as error:
        raise StepsUnreadable from error


def _rows(model: type[Record] | None, group_id: UUID, ids: Iterable[UUID]) -> dict[UUID, Any]:
    """Return the records' rows; none where one of them cannot be read, so that each is looked at by itself."""
    if model is None:
        return {}
    try:
        return {row.id: row for row in model._default_manager.filter(group_id=group_id, id__in=ids)}
    except UNREADABLE:
        return {}


# -- comparing a record --------------------------------------------------------------------------------


def _agree(row: Any, history: History) -> bool:
    """Tell whether a record's row is as its revisions say, by the hash of its content."""
    first, last, is_regular = history
    if row is None or not is_regular or last.salt is None:
        return False
    if (row.rev, row.entered_by_id, row.entered_at) != (last.rev, first.by_id, first.at):
        return False
    try:
        says = contents.canonical(row.content())
        return row.audience() == last.audience and chain.content_hash(last.salt, says) == last.content_hash
    except UNREADABLE:
        return False


def _looked_at_again(model: type[Record] | None, group_id: UUID, last: Step) -> list[Finding]:
    """Return what does not hold of a record, by all its revisions and its row in one state of the database."""
    with snapshot():
        try:
            found = Revision.objects.filter(group_id=group_id, record_id=last.record_id).order_by("rev")
            lines = [Line(*row) for row in found.values_list(*Line._fields)]
            row = model._default_manager.filter(group_id=group_id, id=last.record_id).first() if model else None
            told = [*_irregular(lines), *_unlike(row, lines)]
        except UNREADABLE:
            told = [("record_unreadable", "cannot be read, or one of its revisions cannot")]
    return [Finding(code, f"{last.kind} {last.record_id} {detail}.") for code, detail in told]


Told = Iterator[tuple[str, str]]
"""Code, and what is to be said of the record."""


def _irregular(lines: list[Line]) -> Told:
    if [line.rev for line in lines] != list(range(1, len(lines) + 1)):
        yield "revisions_broken", f"does not have each of its revisions from 1 to {lines[-1].rev}"
    if any(line.seq <= before.seq for before, line in pairwise(lines)):
        yield "revisions_unordered", "has revisions that are not in the order of the book"
    if len({(line.kind, line.audience) for line in lines}) > 1:
        yield "kind_changed", "changed its kind or who may read it, and neither ever changes"


def _unlike(row: Any, lines: list[Line]) -> Told:
    first, last = lines[0], lines[-1]
    if row is None:
        yield "record_missing", "has revisions, and there is no such record"
        return
    if row.rev != last.rev:
        yield "rev_wrong", f"says that it has {row.rev} revisions; it has {last.rev}"
    if row.audience() != last.audience:
        yield "audience_wrong", "is for others to read than its revisions say"
    is_theirs = row.entered_by_id == first.by_id or is_vouched_for(row, first.mid, record_types().values())
    if not is_theirs or row.entered_at != first.at:
        yield "entry_wrong", "was entered by somebody else, or at another time, than its first revision says"
    if last.content is None:
        yield "newest_erased", "has nothing to be compared with: its newest revision is empty"
    elif other := _differences(row, orjson.loads(last.content)):
        yield "record_differs", f"says something else than its newest revision: {', '.join(other)}"


def _differences(row: Any, told: dict[str, Any]) -> list[str]:
    """Return what a row says otherwise. A column that is younger than the revision holds what it was made with."""
    says = orjson.loads(contents.canonical(row.content()))
    made_with = orjson.loads(contents.canonical(contents.of(type(row)())))
    return sorted(name for name, value in says.items() if value != told.get(name, made_with[name]))
