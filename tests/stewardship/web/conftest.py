"""The clock of the pages stands at the tests' own time; a group at work."""

from types import SimpleNamespace

import pytest

from tests.cast import AT
from tests.stewardship.web.pages import Pages


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    """Let the pages read the clock of the tests."""
    monkeypatch.setattr("stewardship.web.access.timezone", SimpleNamespace(now=lambda: AT))


@pytest.fixture
def pages(cast):
    """Give a group at work."""
    return Pages(cast)
