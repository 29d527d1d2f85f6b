"""Each product of a line judged under each rule of its place that was in force on its date."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from stewardship.accounts.models import Group
from stewardship.catalog.models import Product
from stewardship.places.jurisdictions import jurisdiction_of
from stewardship.rules import profiles
from stewardship.rules.profiles import Profile, Verdict
from stewardship.rules.requirements import Facts, is_told
from stewardship.treatments.models import Application
from stewardship.treatments.verdicts.facts import facts_of
from stewardship.treatments.verdicts.shelf import Shelf, shelf_of

LATE = ("late", "overdue")


@dataclass(frozen=True)
class Judged:
    """How one product of a line stands under one rule; ``place``: the form that the rule wants it in, and the text."""

    line: Application
    product: Product
    verdict: Verdict
    place: tuple[str, Any] | None

    @property
    def is_late(self) -> bool:
        """Tell whether the time ran out, before it was complete or without its being so."""
        return self.verdict.standing.state in LATE

    @property
    def wants_attention(self) -> bool:
        """Tell whether anything is missing, outside the rule, or late."""
        return not self.verdict.is_complete or bool(self.verdict.findings) or self.is_late


def judge_lines(group: Group, lines: Iterable[Application], now: datetime) -> list[Judged]:
    """Return how lines of a group stand, in their order; the same statements however many they are."""
    shelf = shelf_of(group, lines)
    return [judged for line in shelf.lines for judged in _of_line(line, shelf, now)] if shelf.lines else []


def _of_line(line: Application, shelf: Shelf, now: datetime) -> Iterator[Judged]:
    place = jurisdiction_of(line.property, shelf.group)
    for id in dict.fromkeys(entry["product"] for entry in line.products):
        product = shelf.products[id]
        facts = facts_of(shelf.now(line), line, product, shelf)
        for profile in profiles.applying(shelf.profiles, place, line.on_date, facts):
            yield _judged(line, product, facts, profile, shelf, now)


def _judged(line: Application, product: Product, facts: Facts, profile: Profile, shelf: Shelf, now: datetime) -> Judged:
    done_at, zone = line.session.ended_at or line.session.started_at, ZoneInfo(line.session.time_zone)
    completed_at = None if profiles.missing(facts, profile) else _complete_since(line, product, profile, shelf)
    verdict = profiles.judge(facts, profile, done_at, zone, completed_at, now)
    return Judged(line, product, verdict, _place(facts, profile))


def _complete_since(line: Application, product: Product, profile: Profile, shelf: Shelf) -> datetime | None:
    """Return since when the record has lacked nothing: every state of it that the book keeps is judged again.

    A later correction that leaves nothing out does not make a record late that was complete in time.
    """
    since: datetime | None = None
    for told in shelf.states(line):
        if profiles.missing(facts_of(told, line, product, shelf), profile):
            since = None
        elif since is None:
            since = told.at
    return since or line.entered_at


def _place(facts: Facts, profile: Profile) -> tuple[str, Any] | None:
    """Return the first of the forms that the rule takes in which the place is told."""
    told = facts["location"]
    return next(((form, told[form]) for form in profile.location_forms if is_told(facts, "location", (form,))), None)


def kept_until(group: Group, lines: Iterable[Application], now: datetime) -> tuple[date, str] | None:
    """Return until when the longest rule keeps these lines, and its name; None where no stored rule names years."""
    found = [
        (judged.verdict.keep_until, judged.verdict.profile.name)
        for judged in judge_lines(group, lines, now)
        if judged.verdict.keep_until
    ]
    return max(found) if found else None
