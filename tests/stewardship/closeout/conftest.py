"""Who is told besides the holder."""

import pytest


@pytest.fixture
def second(cast):
    """Make a second coordinator of a volunteer."""
    cast.coordinator.does("member", "amend", id=cast.other_volunteer.member.id, role="coordinator")
    return cast.other_volunteer.read_again()
