"""What may be sent about a rule profile."""

from datetime import date
from typing import Annotated

from msgspec import UNSET, Meta, UnsetType

from stewardship.catalog.fields import Key
from stewardship.journal.fields import Amend, Area, Citation, Closed, Jurisdiction, Name, New, Text
from stewardship.rules import deadlines
from stewardship.rules.deadlines import ClockKind
from stewardship.rules.refusals import RuleViolation
from stewardship.rules.requirements import Condition, FieldName, LocationForm

Facts = Annotated[list[FieldName], Meta(max_length=60)]
SomeFacts = Annotated[list[FieldName], Meta(min_length=1, max_length=60)]
Years = Annotated[int, Meta(ge=1, le=100)]
People = Annotated[int, Meta(ge=1, le=1000)]


class RuleClock(Closed, frozen=True):
    """How long there is to complete a record, or until a report is due.

    ``count`` goes with ``hours``, ``days`` and ``working_days`` (Mondays to Fridays; holidays are not known), ``day``
    with ``day_of_next_month``, ``month`` and ``day`` with ``day_of_next_year``.
    """

    kind: ClockKind
    count: int | None = None
    month: int | None = None
    day: int | None = None

    def __post_init__(self) -> None:
        """Refuse a clock from which no moment follows."""
        try:
            deadlines.Clock(kind=self.kind, count=self.count, month=self.month, day=self.day)
        except RuleViolation as refusal:
            raise ValueError(str(refusal)) from refusal


class Wanted(Closed, frozen=True):
    """Facts that a record must say, all of one of several sets, if every condition of ``when`` holds."""

    any_of: Annotated[list[SomeFacts], Meta(min_length=1, max_length=10)]
    when: Annotated[list[Condition], Meta(max_length=11)] = []


class SpotTreatment(Closed, frozen=True):
    """The shorter list of facts for a treated area below this one; at that area the whole list holds."""

    below: Area
    required: SomeFacts

    def __post_init__(self) -> None:
        """Refuse an area below which there is none."""
        if self.below.amount() == 0:
            raise ValueError("Give an area above nothing, or leave the spot rule out.")


class DueReport(Closed, frozen=True):
    """A report that is due; ``nil_due``: whether also when there is nothing to report, null where that is not known."""

    name: Name
    clock: RuleClock
    nil_due: bool | None = None


Requirements = Annotated[list[Wanted], Meta(max_length=40)]
LocationForms = Annotated[list[LocationForm], Meta(max_length=7)]
"""Forms in which a place counts; none named: any."""
DueReports = Annotated[list[DueReport], Meta(max_length=10)]
NO_CLOCK = RuleClock(kind="none")


class NewRuleProfile(New, frozen=True):
    """What a jurisdiction asks of a record of use, with its source and the days from and to which it holds.

    An empty jurisdiction makes a general default, for places that no other profile is in force for. A day that is not
    given is not known, or not ended.
    """

    name: Name
    source: Citation
    jurisdiction: Jurisdiction = Jurisdiction("")
    applies_to: Text = ""
    restricted_only: bool = False
    effective_from: date | None = None
    effective_to: date | None = None
    required: Facts = []
    conditional: Requirements = []
    spot: SpotTreatment | None = None
    clock: RuleClock = NO_CLOCK
    retention_years: Years | None = None
    only_licensed_mix: bool = False
    minimum_age_years: Years | None = None
    supervised_per_licensed: People | None = None
    countersign: bool = False
    location_forms: LocationForms = []
    reports: DueReports = []
    note: Text = ""
    reference_key: Key = ""


class AmendRuleProfile(Amend, frozen=True):
    """A correction of a rule profile, or the day on which it ended. A new text of a rule is a new profile."""

    name: Name | UnsetType = UNSET
    source: Citation | UnsetType = UNSET
    jurisdiction: Jurisdiction | UnsetType = UNSET
    applies_to: Text | UnsetType = UNSET
    restricted_only: bool | UnsetType = UNSET
    effective_from: date | None | UnsetType = UNSET
    effective_to: date | None | UnsetType = UNSET
    required: Facts | UnsetType = UNSET
    conditional: Requirements | UnsetType = UNSET
    spot: SpotTreatment | None | UnsetType = UNSET
    clock: RuleClock | UnsetType = UNSET
    retention_years: Years | None | UnsetType = UNSET
    only_licensed_mix: bool | UnsetType = UNSET
    minimum_age_years: Years | None | UnsetType = UNSET
    supervised_per_licensed: People | None | UnsetType = UNSET
    countersign: bool | UnsetType = UNSET
    location_forms: LocationForms | UnsetType = UNSET
    reports: DueReports | UnsetType = UNSET
    note: Text | UnsetType = UNSET
