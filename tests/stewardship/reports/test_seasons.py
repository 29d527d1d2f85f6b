"""Seasons as a group lays them out."""

import pytest
from django.db import IntegrityError, connection

from stewardship.errors import NotPermitted, Unreadable
from stewardship.reports.models import Season
from stewardship.rules.seasons import SeasonEndsBeforeItBegins, SeasonsOverlap

pytestmark = pytest.mark.django_db(transaction=True)


def lay(someone, first_on, last_on, name="a season"):
    return someone.does("season", "create", name=name, first_on=first_on, last_on=last_on).record


def test_a_season_may_cross_the_years_end_and_touch_its_neighbour(coordinator):
    lay(coordinator, "2026-11-01", "2027-03-31", "Dormant 2026/27")
    lay(coordinator, "2027-04-01", "2027-10-31", "Growing 2027")

    assert Season.objects.count() == 2


@pytest.mark.parametrize(
    ("first_on", "last_on"),
    [
        ("2027-03-31", "2027-05-01"),  # shares its first day
        ("2026-10-01", "2026-11-01"),  # shares its last day
        ("2026-12-24", "2026-12-26"),  # lies within
        ("2026-01-01", "2028-01-01"),  # lies around
    ],
)
def test_seasons_that_share_a_day_are_refused(coordinator, first_on, last_on):
    lay(coordinator, "2026-11-01", "2027-03-31", "Dormant 2026/27")

    with pytest.raises(SeasonsOverlap) as refused:
        lay(coordinator, first_on, last_on)

    assert (refused.value.code, refused.value.where) == ("seasons_overlap", "first_on")
    assert Season.objects.count() == 1


def test_a_season_is_not_moved_onto_another_but_may_be_moved_within_itself(coordinator):
    lay(coordinator, "2026-11-01", "2027-03-31")
    growing = lay(coordinator, "2027-04-01", "2027-10-31")

    with pytest.raises(SeasonsOverlap):
        coordinator.does("season", "amend", id=growing.id, first_on="2027-03-31")
    moved = coordinator.does("season", "amend", id=growing.id, first_on="2027-04-15").record

    assert moved.first_on.isoformat() == "2027-04-15"


def test_a_season_that_ends_before_it_begins_is_refused(coordinator):
    season = lay(coordinator, "2027-04-01", "2027-10-31")

    for act in (
        lambda: lay(coordinator, "2027-12-02", "2027-12-01"),
        lambda: coordinator.does("season", "amend", id=season.id, last_on="2027-03-31"),
    ):
        with pytest.raises(SeasonEndsBeforeItBegins):
            act()


def test_a_season_of_one_day_is_one(coordinator):
    assert lay(coordinator, "2027-05-01", "2027-05-01").dates().days == 1


def test_another_groups_season_is_in_nobodys_way(coordinator, stranger):
    lay(stranger, "2026-11-01", "2027-03-31")

    assert lay(coordinator, "2026-11-01", "2027-03-31").rev == 1


@pytest.mark.parametrize("role", ["volunteer", "reviewer"])
def test_only_a_coordinator_lays_out_seasons(cast, role):
    with pytest.raises(NotPermitted):
        lay(getattr(cast, role), "2026-11-01", "2027-03-31")


def test_a_season_without_a_date_says_where(coordinator):
    with pytest.raises(Unreadable) as refused:
        lay(coordinator, "2027-02-29", "2027-03-31")

    assert [each["pointer"] for each in refused.value.facts["errors"]] == ["/first_on"]


def test_the_database_keeps_the_order_of_the_dates(coordinator):
    lay(coordinator, "2026-11-01", "2027-03-31")

    with pytest.raises(IntegrityError, match="a_season_ends_after_it_begins"), connection.cursor() as cursor:
        cursor.execute("UPDATE reports_season SET last_on = '2026-10-31'")
