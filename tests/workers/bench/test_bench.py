"""``manage.py bench sync``, with the web server and databases of its own, in the smallest sizes."""

from io import StringIO

import orjson
import psycopg
import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from tests.database import lay_out_built
from tests.processes import database_url
from workers.bench import databases, floors, sync
from workers.bench.timing import Result, table

NAMES = ["pull-nothing-new", "pull-plain", "pull-gzip", "push-1", "push-50", "push-500"]
TINY = ("--short=520", "--long=700", "--turns=1")


@pytest.fixture
def ready(request, tmp_path, monkeypatch, settings, django_db_setup, django_db_blocker):
    """Keep to a folder of the test, and begin with tables that stand already."""
    settings.DATA_DIR = tmp_path
    monkeypatch.delenv("DATABASE_URL", raising=False)
    if connection.vendor == "sqlite":
        make = databases.SqliteFiles.make

        def laid_out(self, name):
            made = make(self, name)
            lay_out_built(request.config.cache.mkdir("databases"), self.folder / f"{name}.sqlite3")
            return made

        monkeypatch.setattr(databases.SqliteFiles, "make", laid_out)
    else:
        with django_db_blocker.unblock():
            connection.close()
            connection.close_pool()  # nobody may use what is copied
        own = connection.settings_dict["NAME"]
        monkeypatch.setattr(databases.PostgresqlDatabases.make, "__defaults__", (own,))


def measured(*options):
    """Run the command on the engine of this run; return what it told and said."""
    told, said = StringIO(), StringIO()
    server = [] if connection.vendor == "sqlite" else ["--engine=postgresql", f"--postgresql={database_url()}"]
    call_command("bench", "sync", *server, *options, stdout=told, stderr=said)
    return told.getvalue(), said.getvalue()


def test_each_push_and_pull_is_told_beside_its_floor_and_nothing_is_left(ready, tmp_path):
    told, said = measured("--json", *TINY)

    lines = [orjson.loads(line) for line in told.splitlines()]
    assert [line["name"] for line in lines] == NAMES
    assert {line["engine"] for line in lines} == {connection.vendor}
    for line in lines:
        assert line["seconds"] > 0
        assert line["floor_seconds"] > 0
        assert line["ratio"] == pytest.approx(line["seconds"] / line["floor_seconds"])
    assert ("POSTGRESQL WAS LEFT OUT" in said) == (connection.vendor == "sqlite")
    assert left_over(tmp_path) == []


def left_over(folder):
    """Return the folders and databases of a measurement that are still there."""
    names = [path.name for path in folder.glob("bench-*")]
    if connection.vendor == "postgresql":
        with psycopg.connect(database_url()) as server:
            told = server.execute("SELECT datname FROM pg_database WHERE datname LIKE %s", [f"{databases.own()}%"])
            names += [name for (name,) in told]
    return names


def test_a_floor_of_other_rows_is_refused():
    class Floor:
        def counts(self, table):
            return (5, 4) if table == "treatments_productuse" else (5, 5)

    with pytest.raises(databases.BenchFailed, match="treatments_productuse has 4 of 5"):
        floors.check_alike(Floor())


def test_a_server_that_cannot_be_reached_is_told_and_no_crash(ready):
    with pytest.raises(CommandError, match="refused"):
        call_command("bench", "sync", "--engine=postgresql", "--postgresql=postgres://nobody@127.0.0.1:9/none")


def test_what_misses_its_aim_is_marked_in_the_table():
    results = [Result("sqlite", "push-500", 0.3, 0.1, 2.5), Result("sqlite", "push-1", 0.02, 0.01, None)]

    assert table(results).splitlines()[1:] == [
        "sqlite      push-500           300.00 ms   100.00 ms    3.00   <= 2.5  MISSED",
        "sqlite      push-1              20.00 ms    10.00 ms    2.00",
    ]


def test_every_aim_is_that_of_something_measured():
    assert set(sync.AIMS) <= set(NAMES)
