import pytest

from stewardship.journal.checks import explain_journal_mode, journal_mode_told, sqlite_journal_mode

# Versions: SQLite release history, "the WAL reset bug": mended in 3.51.3, and in 3.50.7 and 3.44.6 of older series.


@pytest.mark.parametrize(
    ("version", "mode"),
    [
        ((3, 40, 1), "DELETE"),
        ((3, 44, 5), "DELETE"),
        ((3, 44, 6), "WAL"),
        ((3, 45, 0), "DELETE"),
        ((3, 50, 6), "DELETE"),
        ((3, 50, 7), "WAL"),
        ((3, 51, 0), "DELETE"),
        ((3, 51, 2), "DELETE"),
        ((3, 51, 3), "WAL"),
        ((3, 52, 0), "WAL"),
        ((4, 0, 0), "WAL"),
    ],
)
def test_wal_is_used_only_where_the_library_is_free_of_the_reset_fault(version, mode):
    assert sqlite_journal_mode(version) == mode
    assert ("WAL mode: readers" in journal_mode_told(version)) is (mode == "WAL")


@pytest.mark.django_db
def test_the_check_explains_the_journal_mode_on_sqlite_only():
    from django.db import connection

    told = explain_journal_mode(databases=["default"])

    assert [message.id for message in told] == (["stewardship.I001"] if connection.vendor == "sqlite" else [])
    assert explain_journal_mode() == []
