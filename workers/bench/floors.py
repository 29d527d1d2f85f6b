"""What the database alone takes for the same bytes: nothing that keeps and gives them can be faster."""

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple
from uuid import UUID

from django.apps import apps
from psycopg import sql

from stewardship.journal.models import Record, Revision
from stewardship.sync.models import Mutation, Outbox
from workers.bench.databases import BenchFailed, Database

Ids = Sequence[UUID]


class Part(NamedTuple):
    """Rows of one table, as the engine takes them fastest."""

    table: str
    rows: Any


class _Floor:
    """A bare connection to where the service writes, and one to where the floor is measured."""

    def __init__(self, source: Database, floor: Database) -> None:
        self._source, self._floor = source.connect(), floor.connect()

    def close(self) -> None:
        """End both connections."""
        self._source.close()
        self._floor.close()


class Postgresql(_Floor):
    """COPY, in and out."""

    def made_by(self, group: UUID, after: int) -> list[tuple[str, UUID, UUID]]:
        """Return type, record and mutation of each revision beyond a number."""
        told = "SELECT kind, record_id, mid FROM journal_revision WHERE group_id = %s AND seq > %s AND rev = 1"
        return self._source.execute(told, [group, after]).fetchall()

    def take_out(self, table: str, column: str, ids: Ids) -> Part:
        """Return the rows whose column is one of these ids, in the text of COPY."""
        told = sql.SQL("COPY (SELECT * FROM {} WHERE {} = ANY({})) TO STDOUT")
        told = told.format(sql.Identifier(table), sql.Identifier(column), sql.Literal(list(ids)))
        with self._source.cursor().copy(told) as copy:
            return Part(table, b"".join(copy))

    def counts(self, table: str) -> tuple[int, int]:
        """Return how many rows a table has where the service writes, and where the floor is measured."""
        told = sql.SQL("SELECT count(*) FROM {}").format(sql.Identifier(table))
        own, other = (each.execute(told).fetchone()[0] for each in (self._source, self._floor))
        return own, other

    def lay_in(self, parts: Sequence[Part]) -> None:
        """Put rows where they would belong, in one transaction."""
        with self._floor.transaction(), self._floor.cursor() as cursor:
            for table, rows in parts:
                with cursor.copy(sql.SQL("COPY {} FROM STDIN").format(sql.Identifier(table))) as copy:
                    copy.write(rows)

    def page(self, group: UUID, after: int, last: int) -> bytes:
        """Read the stored bytes that a page is made of."""
        told = sql.SQL(
            "COPY (SELECT seq, kind, record_id, rev, content FROM journal_revision "
            "WHERE group_id = {} AND seq > {} AND seq <= {} ORDER BY seq) TO STDOUT"
        ).format(sql.Literal(group), sql.Literal(after), sql.Literal(last))
        with self._source.cursor().copy(told) as copy:
            return b"".join(copy)


class Sqlite(_Floor):
    """``executemany`` in one transaction, and a bare cursor."""

    def made_by(self, group: UUID, after: int) -> list[tuple[str, UUID, UUID]]:
        """Return type, record and mutation of each revision beyond a number."""
        told = "SELECT kind, record_id, mid FROM journal_revision WHERE group_id = ? AND seq > ? AND rev = 1"
        return [(kind, UUID(id), UUID(mid)) for kind, id, mid in self._source.execute(told, [group.hex, after])]

    def take_out(self, table: str, column: str, ids: Ids) -> Part:
        """Return the rows whose column is one of these ids."""
        marks = ", ".join("?" * len(ids))
        told = f'SELECT * FROM "{table}" WHERE "{column}" IN ({marks})'
        return Part(table, self._source.execute(told, [id.hex for id in ids]).fetchall())

    def counts(self, table: str) -> tuple[int, int]:
        """Return how many rows a table has where the service writes, and where the floor is measured."""
        told = f'SELECT count(*) FROM "{table}"'
        own, other = (each.execute(told).fetchone()[0] for each in (self._source, self._floor))
        return own, other

    def lay_in(self, parts: Sequence[Part]) -> None:
        """Put rows where they would belong, in one transaction."""
        self._floor.execute("BEGIN IMMEDIATE")
        for table, rows in parts:
            self._floor.executemany(f'INSERT INTO "{table}" VALUES ({", ".join("?" * len(rows[0]))})', rows)
        self._floor.execute("COMMIT")

    def page(self, group: UUID, after: int, last: int) -> bytes:
        """Read the stored text that a page is made of."""
        told = (
            "SELECT seq, kind, record_id, rev, content FROM journal_revision "
            "WHERE group_id = ? AND seq > ? AND seq <= ? ORDER BY seq"
        )
        return "".join(row[4] for row in self._source.execute(told, [group.hex, after, last]).fetchall()).encode()


FLOORS = {"postgresql": Postgresql, "sqlite": Sqlite}


def written(floor: Postgresql | Sqlite, group: UUID, after: int) -> list[Part]:
    """Return every row that pushes wrote since a number of the book: records, projections, revisions, ledger."""
    made = floor.made_by(group, after)
    ids: dict[str, list[UUID]] = {}
    for kind, id, _ in made:
        ids.setdefault(kind, []).append(id)
    parts = [floor.take_out(*each) for each in _places(ids)]
    parts.append(floor.take_out(Mutation._meta.db_table, "mid", [mid for *_, mid in made]))
    parts.append(floor.take_out(Revision._meta.db_table, "record_id", [id for _, id, _ in made]))
    return [part for part in parts if part.rows]


def check_alike(floor: Postgresql | Sqlite) -> None:
    """Refuse a floor that wrote more or fewer rows than the service, in whatever table. Raises BenchFailed.

    The place of a device in the ledger is left out: its first push makes that row, each later one changes it.
    """
    tables = {model._meta.db_table for model in apps.get_models(include_auto_created=True)} - {Outbox._meta.db_table}
    for table in sorted(tables):
        own, other = floor.counts(table)
        if own != other:
            raise BenchFailed(f"The floor is not that of the same rows: {table} has {other} of {own}.")


def _places(ids: dict[str, list[UUID]]) -> Iterator[tuple[str, str, list[UUID]]]:
    """Give table, column and ids of the rows that stand for these records."""
    models: dict[str, Any] = {model.kind: model for model in apps.get_models() if issubclass(model, Record)}
    for kind, own in ids.items():
        yield models[kind]._meta.db_table, "id", own
        for projection in models[kind].projections:
            yield projection._meta.db_table, projection._meta.get_field(projection.source).column, own
