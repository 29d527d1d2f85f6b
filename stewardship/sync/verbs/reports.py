"""Verbs of seasons and season reports."""

from stewardship.reports import fields
from stewardship.reports.models import Season, SeasonReport
from stewardship.reports.services import reports, seasons
from stewardship.sync.verbs.verb import Verb, Verbs, enter_and_amend

VERBS: Verbs = {
    **enter_and_amend(
        Season,
        "manage_seasons",
        (fields.NewSeason, seasons.add_season),
        (fields.AmendSeason, seasons.amend_season),
    ),
    ("season_report", "create"): Verb(
        SeasonReport,
        fields.AskForReport,
        reports.ask_for_report,
        "ask_for_reports",
        lists={"property": (SeasonReport, "property_id")},
    ),
}
