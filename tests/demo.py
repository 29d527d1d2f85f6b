"""The demo, loaded once for a module of tests that only read it: fixtures to import there."""

from collections.abc import Iterator

import pytest
from django.core.management import call_command

from stewardship.sync.demo.loading import Loaded, load_demo


@pytest.fixture(scope="module")
def loaded(django_db_setup, django_db_blocker) -> Iterator[Loaded]:
    """Load the demo, committed as ``start`` commits it, and empty the database after the module's last test."""
    with django_db_blocker.unblock():
        try:
            yield load_demo()
        finally:
            call_command("flush", verbosity=0, interactive=False)


@pytest.fixture(autouse=True)
def every_book_is_whole():
    """Leave the audit after each test out: these tests only read, and one of them is the audit."""
