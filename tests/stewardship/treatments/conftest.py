"""Ground to record treatments on."""

import pytest

from tests.ground import lay_out


@pytest.fixture
def ground(coordinator):
    """Give a property with two units, a species, and an ester of 4 lb a.e./gal."""
    return lay_out(coordinator)
