"""Real processes for each test; all are gone before its database is emptied."""

import pytest

from tests.processes import Processes


@pytest.fixture
def processes(tmp_path):
    """Start processes; they are killed at the end, whatever happened."""
    started = Processes(tmp_path)
    yield started
    started.end()
