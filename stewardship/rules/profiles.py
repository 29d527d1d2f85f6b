"""Rule profiles: a jurisdiction's dated requirements as data, and a record judged by them.

A record is judged, for ever, by what was in force on its own local date. The judgement says what is missing and how
much time is left; it decides nothing: the label, the authority and a licensed person do.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, tzinfo
from typing import NamedTuple, get_args

from stewardship.rules.dates import add_years, local_date
from stewardship.rules.deadlines import Clock, Standing, due_at, standing
from stewardship.rules.refusals import RuleViolation
from stewardship.rules.requirements import Facts, LocationForm, Missing, Requirement, check_names, lacking

ANYWHERE = ""
"""The jurisdiction of a profile that holds where no other does."""
EVERY_FORM: tuple[str, ...] = get_args(LocationForm)
COUNTERSIGNED = Requirement(any_of=(("countersigned_by",),), when=("was_supervised",))
PEOPLE: dict[str, str] = {
    "mixer_is_licensed": "whether the person who mixed it held a licence",
    "youngest_age_years": "the age, in years, that everybody who applied it had at least",
    "licensed_people": "how many licence holders supervised",
    "supervised_people": "how many people applied it under supervision",
}
"""Facts on people that some rules judge -> what they are called."""


class ProfileEndsBeforeItBegins(RuleViolation):
    """A profile whose last day comes before its first."""

    code = "profile_ends_before_it_begins"
    message = "This rule profile ends on {effective_to}, before it begins on {effective_from}."
    where = "effective_to"


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotRule:
    """The shorter list for a treated area below ``below_mm2`` [mm²]; at that area the whole list holds.

    Raises RequirementUnclear.
    """

    below_mm2: int
    required: tuple[str, ...]

    def __post_init__(self) -> None:
        check_names(self.required, where="spot")


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """A report that is due: its name, the clock from what it reports, and whether one is due when there is nothing.

    ``nil_due`` None: not known.
    """

    name: str
    clock: Clock
    nil_due: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """What a jurisdiction asks, from ``effective_from`` to ``effective_to`` (both included, None: not known or open).

    ``jurisdiction``: ISO 3166 code, such as US-WA; empty for a general default. ``restricted_only``: it holds for
    products classed restricted-use only. ``required``: facts always wanted; ``conditional``: facts wanted if something
    holds, or one set of several. ``retention_years``, ``minimum_age_years``, ``supervised_per_licensed``: None where
    the rule states none. Raises RequirementUnclear, ProfileEndsBeforeItBegins.
    """

    key: str
    name: str
    source: str
    jurisdiction: str = ANYWHERE
    applies_to: str = ""
    restricted_only: bool = False
    effective_from: date | None = None
    effective_to: date | None = None
    required: tuple[str, ...] = ()
    conditional: tuple[Requirement, ...] = ()
    spot: SpotRule | None = None
    clock: Clock = field(default_factory=Clock)
    retention_years: int | None = None
    only_licensed_mix: bool = False
    minimum_age_years: int | None = None
    supervised_per_licensed: int | None = None
    countersign: bool = False
    location_forms: tuple[str, ...] = EVERY_FORM
    reports: tuple[Report, ...] = ()

    def __post_init__(self) -> None:
        check_names(self.required, where="required")
        if self.effective_from and self.effective_to and self.effective_to < self.effective_from:
            raise ProfileEndsBeforeItBegins(effective_from=self.effective_from, effective_to=self.effective_to)

    def holds(self, on: date) -> bool:
        """Tell whether it is in force on the local date ``on``."""
        return (self.effective_from is None or self.effective_from <= on) and (
            self.effective_to is None or on <= self.effective_to
        )


class Finding(NamedTuple):
    """Something told that lies outside a rule: its code, and a sentence."""

    code: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """How a record stands under one profile.

    ``missing``: what it does not say; ``findings``: what it says that lies outside the rule; ``due``: the last moment
    in time [UTC] or None; ``standing``: its state and the time left; ``keep_until``: the date before which it is kept,
    or None where the rule states none.
    """

    profile: Profile
    was_in_force: bool
    used_spot_list: bool
    missing: tuple[Missing, ...]
    findings: tuple[Finding, ...]
    due: datetime | None
    standing: Standing
    keep_until: date | None

    @property
    def is_complete(self) -> bool:
        """Tell whether the record says everything that the rule asks for."""
        return not self.missing


def in_force(profiles: Iterable[Profile], on: date) -> list[Profile]:
    """Return the profiles in force on the local date ``on``, in the order given."""
    return [profile for profile in profiles if profile.holds(on)]


def applying(profiles: Iterable[Profile], jurisdiction: str, on: date, facts: Facts) -> list[Profile]:
    """Return the profiles that a record is judged by: those of its place and of the country around it.

    Where none of them is in force for such a product, the general ones are. A product not known to be unrestricted is
    judged by the rules on restricted-use products too.
    """
    current = in_force(profiles, on)
    around = {jurisdiction, jurisdiction.partition("-")[0]} - {ANYWHERE}
    found = [p for p in current if p.jurisdiction in around and not _passes_by(p, facts)]
    return found or [p for p in current if p.jurisdiction == ANYWHERE]


def _passes_by(profile: Profile, facts: Facts) -> bool:
    return profile.restricted_only and facts.get("restricted_use") is False


def uses_spot_list(facts: Facts, profile: Profile) -> bool:
    """Tell whether the shorter list holds: the area is below the rule's, or not told and the words stand there.

    The size may be left out of a spot treatment; an area told that is not below the limit brings the whole list back.
    """
    if profile.spot is None:
        return False
    area_mm2 = facts.get("area_mm2")
    if area_mm2 is None:
        return facts.get("spot_words") is True
    return bool(area_mm2 < profile.spot.below_mm2)


def missing(facts: Facts, profile: Profile) -> list[Missing]:
    """Return what the record does not say yet of what the profile asks, each once, with its words."""
    is_spot = uses_spot_list(facts, profile)
    wanted = [Requirement(any_of=((name,),)) for name in _always(profile, is_spot)]
    wanted += [] if is_spot else profile.conditional
    wanted += [COUNTERSIGNED] if profile.countersign else []
    found = [lacking(facts, each, profile.location_forms) for each in wanted]
    untold = [Missing(name, PEOPLE[name]) for name in _people(facts, profile) if facts.get(name) is None]
    return list(dict.fromkeys([each for each in found if each] + untold))


def _always(profile: Profile, is_spot: bool) -> tuple[str, ...]:
    return profile.spot.required if is_spot and profile.spot else profile.required


def _people(facts: Facts, profile: Profile) -> list[str]:
    """Return the facts on people that the profile judges."""
    names = ["mixer_is_licensed"] if profile.only_licensed_mix else []
    names += ["youngest_age_years"] if profile.minimum_age_years is not None else []
    if profile.supervised_per_licensed is not None and facts.get("was_supervised") is not False:
        names += ["licensed_people", "supervised_people"]
    return names


def findings(facts: Facts, profile: Profile) -> list[Finding]:
    """Return what the record says of people that lies outside the profile; the unknown is no finding."""
    found = []
    if profile.only_licensed_mix and facts.get("mixer_is_licensed") is False:
        found.append(Finding("mixed_without_licence", "Under this rule only licence holders mix and load."))
    least, youngest = profile.minimum_age_years, facts.get("youngest_age_years")
    if least is not None and youngest is not None and youngest < least:
        words = f"Under this rule nobody younger than {least} applies herbicide."
        found.append(Finding("below_minimum_age", words))
    if _too_many(facts, profile.supervised_per_licensed):
        words = f"Under this rule a licence holder supervises at most {profile.supervised_per_licensed} at a time."
        found.append(Finding("too_many_supervised", words))
    return found


def _too_many(facts: Facts, ratio: int | None) -> bool:
    supervised, licensed = facts.get("supervised_people"), facts.get("licensed_people")
    return ratio is not None and supervised is not None and licensed is not None and supervised > ratio * licensed


def judge(
    facts: Facts, profile: Profile, done_at: datetime, zone: tzinfo, completed_at: datetime | None, now: datetime
) -> Verdict:
    """Return how a record stands under a profile.

    ``done_at``: when the application was completed, else when it began; ``zone``: of the place; ``completed_at``: when
    the record last gained what it says, None for a draft. A record that lacks anything is not complete, whenever it was
    written. Moments carry their offset. Raises MomentWithoutZone, DateOutOfRange.
    """
    on = local_date(done_at, zone)
    untold = missing(facts, profile)
    due = due_at(done_at, zone, profile.clock)
    return Verdict(
        profile=profile,
        was_in_force=profile.holds(on),
        used_spot_list=uses_spot_list(facts, profile),
        missing=tuple(untold),
        findings=tuple(findings(facts, profile)),
        due=due,
        standing=standing(now, due, None if untold else completed_at),
        keep_until=kept_until([profile], on),
    )


def kept_until(profiles: Iterable[Profile], on: date) -> date | None:
    """Return the date before which a record of ``on`` is kept: the longest rule wins; None where none states years.

    Where a rule counts from the day the record was made, ``on`` is that day. Raises DateOutOfRange.
    """
    years = [profile.retention_years for profile in profiles if profile.retention_years is not None]
    return add_years(on, max(years)) if years else None
