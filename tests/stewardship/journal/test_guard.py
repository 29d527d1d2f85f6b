"""Invariant I10: the book is append-only in the database itself, whoever speaks to it."""

import pytest
from django.core import mail
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction

from stewardship.journal.guard import KEPT, guard_lifted
from stewardship.journal.models import Book, Revision

pytestmark = pytest.mark.django_db
COLUMNS = [f.column for f in Revision._meta.concrete_fields]
OTHER = {"seq": "999", "rev": "999", "at": "'2001-01-01 00:00:00+00:00'", "content": "'{}'", "salt": "'00'"}


def run(sql, *values):
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql, values)
        return cursor.rowcount


def refused(sql, *values):
    with pytest.raises(DatabaseError, match="a revision is never changed or removed"):
        run(sql, *values)


def everything():
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {', '.join(COLUMNS)} FROM journal_revision ORDER BY group_id, seq")
        return cursor.fetchall()


def another(column, cast):
    """Return SQL for a value of the column that no revision of the coordinator's group has."""
    if column in ("group_id", "by_id"):
        value = cast.stranger.group_id if column == "group_id" else cast.stranger.person.id
    elif column in ("record_id", "mid", "device_id"):
        value = cast.stranger.member.id
    else:
        return OTHER.get(column, "'tampered'")
    return f"'{value.hex if connection.vendor == 'sqlite' else value}'"


@pytest.mark.parametrize("column", COLUMNS)
def test_no_column_of_a_revision_can_be_changed(cast, column):
    before = everything()

    refused(f"UPDATE journal_revision SET {column} = {another(column, cast)} WHERE seq = 2")

    assert everything() == before


def test_the_guard_names_every_column_but_those_that_an_erasure_empties():
    assert set(KEPT) == set(COLUMNS) - {"content", "salt"}


@pytest.mark.parametrize("where", ["", " WHERE seq = 1"])
def test_no_revision_can_be_deleted(cast, where):
    before = everything()

    refused(f"DELETE FROM journal_revision{where}")

    assert everything() == before


@pytest.mark.needs_postgresql
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("how", ["", " CASCADE"])
def test_the_table_cannot_be_truncated(cast, how):
    refused(f"TRUNCATE journal_revision{how}")

    assert Revision.objects.exists()


def test_a_revision_cannot_be_replaced_by_an_insert(cast):
    if connection.vendor != "sqlite":
        upsert = "ON CONFLICT (group_id, seq) DO UPDATE SET reason = 'tampered'"
        refused(f"INSERT INTO journal_revision SELECT * FROM journal_revision WHERE seq = 1 {upsert}")
        return
    before = everything()
    names = [column if column != "reason" else "'tampered'" for column in COLUMNS]
    copied = f"SELECT {', '.join(names)} FROM journal_revision WHERE seq = 1"

    refused(f"INSERT OR REPLACE INTO journal_revision ({', '.join(COLUMNS)}) {copied}")
    refused(f"REPLACE INTO journal_revision ({', '.join(COLUMNS)}) {copied.replace('seq,', 'seq + 1000,', 1)}")

    assert everything() == before


def test_an_erasure_empties_content_and_salt_together(cast, tampering):
    before = everything()

    assert run("UPDATE journal_revision SET content = NULL, salt = NULL WHERE seq = 3") == 1

    kept = [COLUMNS.index(column) for column in COLUMNS if column not in ("content", "salt")]
    assert [[row[i] for i in kept] for row in everything()] == [[row[i] for i in kept] for row in before]
    assert Revision.objects.get(seq=3).content is None


@pytest.mark.parametrize("column", ["content", "salt"])
def test_an_erasure_of_one_without_the_other_is_refused(cast, column):
    refused(f"UPDATE journal_revision SET {column} = NULL WHERE seq = 3")


def test_what_was_erased_cannot_be_filled_again(cast, tampering):
    run("UPDATE journal_revision SET content = NULL, salt = NULL WHERE seq = 3")

    refused("UPDATE journal_revision SET content = '{}', salt = '00' WHERE seq = 3")


def test_the_guard_is_back_after_it_was_lifted_even_if_the_block_fails(cast):
    with pytest.raises(ZeroDivisionError), guard_lifted(connection):
        _ = 1 / 0

    refused("DELETE FROM journal_revision")


@pytest.mark.django_db(transaction=True)
def test_flush_empties_a_test_database_and_leaves_the_guard_up(coordinator):
    call_command("flush", verbosity=0, interactive=False)

    assert not Book.objects.exists()
    assert not Revision.objects.exists()
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT count(*) FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'journal_revision'"
            if connection.vendor == "sqlite"
            else "SELECT count(*) FROM pg_trigger WHERE tgrelid = 'journal_revision'::regclass AND NOT tgisinternal"
        )
        assert cursor.fetchone()[0] >= 2


def test_flush_refuses_outside_a_test_run_whatever_the_database_is_called(coordinator, monkeypatch):
    monkeypatch.delattr(mail, "outbox")
    monkeypatch.setitem(connection.settings_dict, "NAME", "/home/tester/latest/stewardship.sqlite3")

    with pytest.raises(CommandError, match="never emptied"):
        call_command("flush", verbosity=0, interactive=False)

    monkeypatch.undo()
    assert Book.objects.exists()
