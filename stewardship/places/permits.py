"""Which permits herbicide work in a unit takes, and whether one that holds on a local date takes it in."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from stewardship.places.lacks import Lack
from stewardship.places.models import Permit, PermitFor, Unit
from stewardship.places.nearness import Near
from stewardship.rules.dates import said
from stewardship.rules.methods import WORDS


@dataclass(frozen=True, slots=True)
class Needed:
    """A permit that work in a unit takes, and why."""

    what: str
    why: str
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """Herbicide work in a unit on a date; method and actives (name in small letters -> product) where known."""

    unit: Unit
    on: date
    method: str = ""
    actives: Mapping[str, str] = field(default_factory=dict)


def needed(unit: Unit, areas: Iterable[Near]) -> Iterator[Needed]:
    """Give the permits that work in a unit takes: its own, and those of the sensitive areas near it, each once."""
    seen = set()
    if unit.needs_permit:
        seen.add(unit.needs_permit)
        yield Needed(unit.needs_permit, f"Herbicide in the unit {unit.name} takes a permit")
    for each in areas:
        what = each.area.needs_permit
        if what and what not in seen:
            seen.add(what)
            where = "is near" if each.distance_mm is not None else "has no boundary on record and may be near"
            why = f"The unit {unit.name} {where} {each.area.name}, where herbicide takes a permit"
            yield Needed(what, why, each.area.source)


def lacking_permits(permits: Sequence[Permit], wanted: Iterable[Needed], work: Work) -> Iterator[Lack]:
    """Tell which permits are missing on the date, and which hold but leave out the method or an active ingredient."""
    for each in wanted:
        its = [permit for permit in permits if permit.what == each.what and _is_for(permit, work.unit)]
        lead = f"{each.why} for {PermitFor(each.what).label}"
        about = f"units/{work.unit.id}"
        holding = [permit for permit in its if permit.holds_on(work.on)]
        if not holding:
            ended = [last for permit in its if (last := permit.last_on()) and last < work.on]
            told = f"the last one ended on {said(max(ended))}" if ended else "none is on record"
            yield Lack("permit_missing", f"{lead}; {told}. None holds on {said(work.on)}.", each.source, about)
        elif not any(_takes_in(permit, work) for permit in holding):
            detail = f"{lead}; the one that holds leaves out {_left_out(holding[-1], work)}."
            source = f"{holding[-1].authority}, {holding[-1].number}"
            yield Lack("permit_does_not_cover", detail, source, f"permits/{holding[-1].id}")


def _is_for(permit: Permit, unit: Unit) -> bool:
    return permit.property_id in (None, unit.property_id) and (not permit.units or str(unit.id) in permit.units)


def _takes_in(permit: Permit, work: Work) -> bool:
    return not _missing_method(permit, work) and not _missing_actives(permit, work)


def _missing_method(permit: Permit, work: Work) -> bool:
    return bool(work.method and permit.methods and work.method not in permit.methods)


def _missing_actives(permit: Permit, work: Work) -> list[str]:
    named = {name.strip().lower() for name in permit.actives}
    return sorted(name for name in work.actives if named and name not in named)


def _left_out(permit: Permit, work: Work) -> str:
    method = [f"the method {WORDS[work.method]}"] if _missing_method(permit, work) else []
    return " and ".join([*method, *_missing_actives(permit, work)])
