"""A planned work day for the tests of this folder."""

import pytest

from tests.planning import Plan


@pytest.fixture
def plan(coordinator):
    """Give a draft work day with herbicide, on 1 July 2027."""
    return Plan(coordinator)


@pytest.fixture
def confirmed(plan, coordinator):
    """Give the same day, confirmed, with the coordinator as its licensed applicator."""
    plan.staffed(coordinator).does("confirm")
    return plan
