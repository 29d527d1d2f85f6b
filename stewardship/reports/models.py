"""Season, season report and its versions."""

from django.db import models
from django.db.models import F, Q

from stewardship.journal.models import Record
from stewardship.places.models import Property
from stewardship.rules import seasons


class Season(Record):
    """A named stretch of local dates that reports are compiled for; it may cross the year's end."""

    kind = "season"

    name = models.CharField(max_length=200)
    first_on = models.DateField()
    last_on = models.DateField()

    class Meta(Record.Meta):
        constraints = [
            models.CheckConstraint(name="a_season_ends_after_it_begins", condition=Q(last_on__gte=F("first_on"))),
        ]

    def __str__(self) -> str:
        return self.name

    def dates(self) -> seasons.Season:
        """Return the season as the rules know it."""
        return seasons.Season(self.name, self.first_on, self.last_on)


class SeasonReport(Record):
    """The report of one property and season: asked for once, compiled in versions."""

    kind = "season_report"
    derived = frozenset({"job_id", "latest", "head"})

    property = models.ForeignKey(Property, models.PROTECT, related_name="+", db_index=False)
    season = models.ForeignKey(Season, models.PROTECT, related_name="+", db_index=False)
    job_id = models.UUIDField("the job that compiles it, or did last", null=True)
    latest = models.PositiveIntegerField("number of the newest version", default=0)
    head = models.BigIntegerField("number in the book up to which it is compiled", default=0)

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["group", "property", "season"], name="a_property_has_one_report_a_season"),
        ]

    def __str__(self) -> str:
        return f"report {self.property_id} {self.season_id}"


class ReportVersion(Record):
    """The figures of a report as they stood at one number of the book; never changed."""

    kind = "report_version"

    report = models.ForeignKey(SeasonReport, models.PROTECT, related_name="versions", db_index=False)
    number = models.PositiveIntegerField()
    figures = models.JSONField()
    figures_hash = models.CharField("SHA-256 of the figures", max_length=64)
    as_of = models.DateTimeField("data as of")
    head = models.BigIntegerField("number in the book that it rests on")
    head_hash = models.CharField(max_length=64)

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["group", "report", "number"], name="a_version_has_its_own_number"),
        ]

    def __str__(self) -> str:
        return f"version {self.number}"
