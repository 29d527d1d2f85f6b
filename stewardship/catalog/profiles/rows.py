"""A rule profile as the rules judge by it, made of the columns that keep it."""

from collections.abc import Mapping
from typing import Any

from stewardship.catalog.models import RuleProfile
from stewardship.rules.deadlines import Clock
from stewardship.rules.profiles import EVERY_FORM, Profile, Report, SpotRule
from stewardship.rules.requirements import Requirement
from stewardship.rules.units import Dimension, to_base

PLAIN = (
    "name", "source", "jurisdiction", "applies_to", "restricted_only", "effective_from", "effective_to",
    "retention_years", "only_licensed_mix", "minimum_age_years", "supervised_per_licensed", "countersign",
)  # fmt: skip
"""Columns that a profile takes over as they stand."""


def profile_of(row: RuleProfile) -> Profile:
    """Return the profile that a record of the group states; its key is the reference key, else the id."""
    return read_profile(vars(row), key=row.reference_key or str(row.id))


def read_profile(values: Mapping[str, Any], *, key: str) -> Profile:
    """Return the profile that column values state. Raises ProfileEndsBeforeItBegins, RequirementUnclear."""
    return Profile(
        key=key,
        required=tuple(values["required"]),
        conditional=tuple(_requirement(each) for each in values["conditional"]),
        spot=_spot(values["spot"]),
        clock=Clock(**values["clock"]),
        location_forms=tuple(values["location_forms"]) or EVERY_FORM,
        reports=tuple(_report(each) for each in values["reports"]),
        **{name: values[name] for name in PLAIN},
    )


def _requirement(wanted: Mapping[str, Any]) -> Requirement:
    return Requirement(any_of=tuple(map(tuple, wanted["any_of"])), when=tuple(wanted["when"]))


def _spot(spot: Mapping[str, Any] | None) -> SpotRule | None:
    """Return the spot rule; its area is rounded as an entered one is, so that the same words make the same number."""
    if spot is None:
        return None
    below = to_base(spot["below"]["value"], spot["below"]["unit"], Dimension.AREA)
    return SpotRule(below_mm2=below, required=tuple(spot["required"]))


def _report(report: Mapping[str, Any]) -> Report:
    return Report(name=report["name"], clock=Clock(**report["clock"]), nil_due=report["nil_due"])
