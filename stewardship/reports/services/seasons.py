"""Seasons are laid out and moved."""

from stewardship.accounts.models import Group
from stewardship.journal.book import Entry
from stewardship.journal.fields import columns
from stewardship.reports import fields
from stewardship.reports.models import Season
from stewardship.rules.seasons import check_seasons


def add_season(entry: Entry, new: fields.NewSeason) -> Season:
    """Lay out a season that overlaps no other. Raises SeasonsOverlap, SeasonEndsBeforeItBegins."""
    _lock(entry)
    season = entry.create(Season, id=new.id, **columns(new))
    _check(entry)
    return season


def amend_season(entry: Entry, wish: fields.AmendSeason) -> Season:
    """Rename or move a season; reports of it stay as they were compiled."""
    _lock(entry)
    season = entry.change(entry.get(Season, wish.id), **columns(wish))
    _check(entry)
    return season


def _lock(entry: Entry) -> None:
    """Keep two people from laying out seasons at once that overlap."""
    entry.load(Group, [entry.group_id])


def _check(entry: Entry) -> None:
    check_seasons(season.dates() for season in entry.list_of(Season, "group_id", entry.group_id))
