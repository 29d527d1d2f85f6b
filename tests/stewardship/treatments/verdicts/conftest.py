"""Somebody whose licence the judged records name."""

import pytest

from tests.planning import licence


@pytest.fixture
def licensed(coordinator):
    licence(coordinator, coordinator, "2027-12-31", number="C-1042", issued_on="2020-01-01", received_on="2020-01-01")
