"""What every test stands on: a database in a file, no foreign network, services or a loud skip."""

import gc
from types import FunctionType
from uuid import uuid4

import pytest
from _pytest import runner

from tests.database import keep_built, lay_out_built
from tests.network import keep_to_this_machine
from tests.services import SERVICES, demand


@pytest.fixture(scope="session")
def django_db_modify_db_settings(tmp_path_factory, django_db_modify_db_settings_parallel_suffix):
    """Put SQLite's test database into a file of this run, since threads cannot share one in memory; sync no disk."""
    from django.db import connections

    for connection in connections.all():
        options = connection.settings_dict["OPTIONS"]
        if connection.vendor == "sqlite":
            folder = tmp_path_factory.mktemp("database")
            connection.settings_dict["TEST"]["NAME"] = str(folder / f"{connection.alias}.sqlite3")
            options["init_command"] += ";PRAGMA synchronous=OFF"
        else:
            options["options"] = "-c synchronous_commit=off"


@pytest.fixture(scope="session")
def django_db_keepdb(request, django_db_keepdb, django_db_modify_db_settings):
    """Begin with the empty database that an earlier run built by the same migrations, where there is one."""
    return lay_out_built(request.config.cache.mkdir("databases")) or django_db_keepdb


@pytest.fixture(scope="session")
def django_db_setup(request, django_db_setup, django_db_blocker):
    """Keep the empty database for the next run: its migrations take longer than most tests."""
    with django_db_blocker.unblock():
        keep_built(request.config.cache.mkdir("databases"))


@pytest.fixture(scope="session", autouse=True)
def only_this_machine():
    """Refuse every connection to another machine."""
    with pytest.MonkeyPatch.context() as monkeypatch:
        keep_to_this_machine(monkeypatch)
        yield


@pytest.fixture(autouse=True)
def files_of_the_test(tmp_path_factory, monkeypatch):
    """Keep private files in a folder of this test: the cast's group has the same id in the next one."""
    from django.conf import settings

    monkeypatch.setattr(settings, "ATTACHMENTS_DIR", tmp_path_factory.getbasetemp() / "attachments" / uuid4().hex)


_ROOM = 100_000
_run = FunctionType(runner.pytest_runtest_protocol.__code__.replace(co_stacksize=_ROOM), vars(runner))
"""What pytest runs a test with, from a frame that asks for room [values] on the interpreter's stack at once."""


@pytest.hookimpl
def pytest_runtest_protocol(item, nextitem):
    """Run a test where all its frames have room.

    CPython takes its stack from the system in pieces of 16 KiB, and gives a piece back as soon as no frame is on it:
    where the edge of one falls into a loop, every call costs two system calls, a fifth of a simulated world's time.
    """
    return _run(item, nextitem)


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item):
    """Skip, or fail, a test whose service is missing, before its fixtures are made."""
    for marker in SERVICES:
        if item.get_closest_marker(marker):
            demand(marker)


def pytest_collection_finish():
    """Leave what was loaded out of every later collection of garbage: it is there to the end."""
    gc.freeze()


def pytest_terminal_summary(terminalreporter):
    """Say loudly which tests a missing service kept from running."""
    told = [report.longrepr[2] for report in terminalreporter.stats.get("skipped", []) if report.longrepr]
    for service in SERVICES.values():
        count = sum(f"{service.title} is missing" in reason for reason in told)
        if count:
            terminalreporter.section(f"NOT RUN for want of {service.title}: {count}", "!", red=True, bold=True)
            terminalreporter.line(f"Set {service.variable}, and they run.")


@pytest.fixture
def cast(db):
    """Bring the standing cast together: two groups and six people."""
    from tests.cast import assemble

    return assemble()


@pytest.fixture
def processes(transactional_db, tmp_path):
    """Start processes on the test's database; all are gone before it is emptied."""
    from tests.processes import Processes

    started = Processes(tmp_path)
    yield started
    started.end()


@pytest.fixture
def coordinator(cast):
    """Give the coordinator of the group."""
    return cast.coordinator


@pytest.fixture
def volunteer(cast):
    """Give a volunteer of the group."""
    return cast.volunteer


@pytest.fixture
def other_volunteer(cast):
    """Give another volunteer of the same group."""
    return cast.other_volunteer


@pytest.fixture
def reviewer(cast):
    """Give the board's reviewer of the group."""
    return cast.reviewer


@pytest.fixture
def former(cast):
    """Give a volunteer who left the group."""
    return cast.former


@pytest.fixture
def stranger(cast):
    """Give the coordinator of another group."""
    return cast.stranger


@pytest.fixture
def tampering():
    """Say that a test damages the book on purpose: it is not audited afterwards."""


@pytest.fixture(autouse=True)
def every_book_is_whole(request):
    """Audit every group's book after each test that has a database (I2, I10, I12): it takes milliseconds."""
    has_database = request.node.get_closest_marker("django_db") or "db" in request.fixturenames
    if not has_database or "tampering" in request.fixturenames:
        yield
        return
    from tests.audit import findings

    request.getfixturevalue("db")  # so that the audit comes before the database is emptied
    yield
    assert findings() == []
