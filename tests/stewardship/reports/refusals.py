"""How the refusals about seasons come about."""

from stewardship.rules.seasons import SeasonEndsBeforeItBegins, SeasonsOverlap
from tests.cast import sent
from tests.doors import Case

DORMANT = {"name": "Dormant 2026/27", "first_on": "2026-11-01", "last_on": "2027-03-31"}


def seasons_share_a_day(cast):
    cast.coordinator.does("season", "create", **DORMANT)
    growing = {"name": "Growing 2027", "first_on": "2027-03-31", "last_on": "2027-10-31"}
    return cast.coordinator, sent("season", "create", growing)


def a_season_is_moved_onto_another(cast):
    cast.coordinator.does("season", "create", **DORMANT)
    growing = cast.coordinator.does(
        "season", "create", name="Growing 2027", first_on="2027-04-01", last_on="2027-10-31"
    ).record
    return cast.coordinator, sent("season", "amend", {"first_on": "2027-03-31"}, id=growing.id)


def a_season_ends_before_it_begins(cast):
    return cast.coordinator, sent("season", "create", DORMANT | {"last_on": "2026-10-31"})


CASES = [
    Case(SeasonsOverlap, seasons_share_a_day),
    Case(SeasonsOverlap, a_season_is_moved_onto_another),
    Case(SeasonEndsBeforeItBegins, a_season_ends_before_it_begins),
]
