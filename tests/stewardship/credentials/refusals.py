"""How the refusals about credentials come about."""

from stewardship.credentials.services import EndsAndNeverEnds
from tests.doors import Case, last_act
from tests.planning import licence


def a_licence_ends_and_never_ends(cast):
    return last_act(lambda: licence(cast.coordinator, cast.volunteer, "2027-06-30", never_expires=True))


CASES = [Case(EndsAndNeverEnds, a_licence_ends_and_never_ends)]
