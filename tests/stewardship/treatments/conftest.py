"""Ground to record treatments on."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.cast import sent
from tests.ground import lay_out
from tests.stewardship.treatments.limited import licensed, limit


@pytest.fixture
def ground(coordinator):
    """Give a property with two units, a species, and an ester of 4 lb a.e./gal."""
    return lay_out(coordinator)


@pytest.fixture
def statements(coordinator):
    """Push and count the statements, COPY among them."""

    def counted(mutations):
        with CaptureQueriesContext(connection) as seen:
            taken = coordinator.pushes(*mutations)
        assert {(result["outcome"], result.get("code")) for result in taken.results} == {("applied", None)}
        return len(seen)

    coordinator.pushes(sent("batch", "create", {}))  # the device's first push makes its place in the ledger
    return counted


@pytest.fixture
def with_a_card(coordinator):
    """Let the coordinator be licensed."""
    licensed(coordinator)


@pytest.fixture
def enter(coordinator):
    """Enter a stored limit."""
    return lambda **values: limit(coordinator, **values)
