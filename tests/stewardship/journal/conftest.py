"""Entries of the book, and a record to look at."""

import pytest

from stewardship.journal.book import open_entry
from tests.cast import AT


@pytest.fixture
def entry_of():
    """Give a way to open an entry of somebody."""
    return lambda someone: open_entry(group_id=someone.group_id, by=someone.actor, at=AT)


@pytest.fixture
def fen(coordinator):
    """Give a property of the group."""
    return coordinator.does("property", "create", name="Fen Edge").record
