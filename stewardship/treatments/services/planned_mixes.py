"""A mix is planned for a unit, overridden, done or cancelled. Over a stored limit it is refused, with every reason."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from stewardship.catalog.comparing import Finding, Manner
from stewardship.catalog.labels import ingredient_snapshot
from stewardship.catalog.mixing.fields import Strength
from stewardship.catalog.mixing.plans import facts_for
from stewardship.catalog.models import Product, Species
from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns
from stewardship.journal.looking import Looks
from stewardship.places.models import Unit
from stewardship.rules.area_years import Use, Years, added
from stewardship.rules.measures import volumes_of
from stewardship.rules.strength import dry_product_g_per_l, product_fraction
from stewardship.treatments import fields
from stewardship.treatments.models import PlannedMix
from stewardship.treatments.services import lawful, limits
from stewardship.treatments.services.batches import PartsAboveMix, PartTwice
from stewardship.treatments.services.crews import check_crew
from stewardship.treatments.services.draws import contained
from stewardship.treatments.services.parts import in_its_measure
from stewardship.workdays.fields import CancelWorkDay, PostponeWorkDay
from stewardship.workdays.models import WorkDay
from stewardship.workdays.reasons import Reason, ReasonsStand
from stewardship.workdays.services import postponing, work_days
from stewardship.workdays.services.planning import UnitElsewhere
from stewardship.workdays.states import check_not_ended

STAND_IN_THE_WAY = frozenset({
    "carrier_not_on_label", "undiluted_only", "strength_above_limit", "over_ceiling", "near_sensitive_area",
    *lawful.STAND_IN_THE_WAY,
})  # fmt: skip
"""Codes of findings for which a plan is refused, unless a coordinator overrides them; the rest are warnings."""

State = PlannedMix.State


class PlanOverLimits(ReasonsStand):
    """A plan over a stored limit takes a coordinator's word."""

    code = "plan_over_limits"
    lead = (
        "Stored limits or a sensitive area stand in the way of this plan. A coordinator can override it with a reason."
    )


class PlanOnAnotherDate(RuleViolation):
    """A plan for a work day is for its date."""

    code = "plan_on_another_date"
    message = "The work day is on {on_date}: plan the mix for that date, or without the work day."
    where = "planned_on"


class PlanEnded(RuleViolation):
    """What is done or cancelled is planned no more."""

    code = "plan_ended"
    message = "This planned mix is {state} already. Plan another one."
    where = "state"


class NothingToOverride(RuleViolation):
    """An override names the reasons that it overrides."""

    code = "nothing_to_override"
    message = "No stored limit stands in the way of this plan, so there is nothing to override. Read the label."


def plan_mix(entry: Entry, new: fields.NewPlannedMix) -> PlannedMix:
    """Plan a mix for a unit. Raises CrewUnlicensed, and PlanOverLimits unless that is overridden."""
    unit = entry.get(Unit, new.unit)
    _check_day(entry, new, unit)
    values = columns(new) | {"parts": _parts(entry, new), "property_id": unit.property_id}
    del values["override"]
    if new.work_day:
        check_crew(entry, entry.get(WorkDay, new.work_day), values)
    found = list(findings(entry, values, entry.at))
    reasons = _reasons(found)
    if reasons and new.override is None:
        raise PlanOverLimits(reasons)
    if reasons and new.override:
        values |= _overridden(entry, reasons, new.override.reason)
    warned = [each for each in found if each.code not in STAND_IN_THE_WAY]
    return entry.create(PlannedMix, id=new.id, **values, marks=limits.marks(warned))


def override_mix(entry: Entry, wish: Target) -> PlannedMix:
    """Let an open plan stand although stored limits stand in its way now; the reasons and why are kept."""
    plan = _open(entry, wish)
    reasons = _reasons(findings(entry, vars(plan), entry.at))
    if not reasons:
        raise NothingToOverride
    return entry.change(plan, **_overridden(entry, reasons, entry.cause.reason))


def finish_mix(entry: Entry, wish: Target) -> PlannedMix:
    """Say that a planned mix was made: what was used of it is in the books, and it counts as a plan no more."""
    return _ended(entry, wish, State.DONE)


def cancel_mix(entry: Entry, wish: Target) -> PlannedMix:
    """Cancel a planned mix; it counts as a plan no more."""
    return _ended(entry, wish, State.CANCELLED)


def confirm_work_day(entry: Entry, wish: Target) -> WorkDay:
    """Confirm an open day, unless something lacks: also where a mix planned for it is over a limit, not overridden."""
    return work_days.confirm_work_day(entry, wish, also=_against_day(entry, wish.id))


def postpone_work_day(entry: Entry, wish: PostponeWorkDay) -> WorkDay:
    """Give a day another date, and with it the open plans for it: a plan for a work day is for its date."""
    day = postponing.postpone_work_day(entry, wish)
    plans = [plan for plan in entry.list_of(PlannedMix, "work_day_id", day.id) if plan.state == State.OPEN]
    entry.load(PlannedMix, [plan.id for plan in plans])
    for plan in plans:
        entry.change(plan, planned_on=day.on_date)
    return day


def cancel_work_day(entry: Entry, wish: CancelWorkDay) -> WorkDay:
    """Cancel a day, and with it the open plans for it: they would go on counting against ceilings.

    A plan that somebody made just now, while this entry waited for the day, is locked here.
    """
    day = work_days.cancel_work_day(entry, wish)
    plans = [plan for plan in entry.list_of(PlannedMix, "work_day_id", day.id) if plan.state == State.OPEN]
    entry.load(PlannedMix, [plan.id for plan in plans])
    for plan in plans:
        entry.change(plan, state=State.CANCELLED)
    return day


def _against_day(entry: Entry, day_id: UUID) -> list[Reason]:
    """Return what stands in the way of the open plans of a day as things are now, and was not overridden."""
    reasons = []
    for plan in entry.list_of(PlannedMix, "work_day_id", day_id):
        if plan.state != State.OPEN:
            continue
        known = {(each["code"], each["where"]) for each in plan.overridden}
        found = [
            each
            for each in _reasons(findings(entry, vars(plan), entry.at))
            if (each["code"], each["where"]) not in known
        ]
        reasons += [each | {"where": f"planned-mixes/{plan.id}"} for each in found]
    return reasons


# -- what stands in the way ------------------------------------------------------------------------


def findings(entry: Looks, said: Mapping[str, Any], at: datetime) -> list[Finding]:
    """Compare a plan with everything stored that bears on it; ``said`` as its columns say, ``at``: when it is asked."""
    unit, species_id = entry.get(Unit, said["unit_id"]), said["species_id"]
    makes = limits.mixed(mix_nl=said["mix_nl"], parts=said["parts"], adjuvants=())
    products = limits.products_of(entry, said["parts"])
    work = limits.Work(
        manner=Manner(said["method"], said["carrier"], species_id),
        species=entry.get(Species, species_id) if species_id else None,
        unit=unit,
        on=said["planned_on"],
        mix_nl=said["mix_nl"],
        stems=said["stems"],
        products=products,
        makes=makes,
        used_in_year=_counted(entry, unit, said),
    )
    day = entry.get(WorkDay, said["work_day_id"]) if said.get("work_day_id") else None
    return [
        *limits.of_mix(products, said["carrier"], makes),
        *limits.of_work(entry, work),
        *lawful.of_plan(entry, unit, said["planned_on"], day, at),
    ]


def _counted(entry: Looks, unit: Unit, said: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the cells of the plan's year in its unit: what was used, what else is planned, and this plan."""
    year = said["planned_on"].year
    others = [vars(plan) for plan in entry.list_beside(PlannedMix, "unit_id", unit) if plan.state == State.OPEN]
    years: Years = unit.used_in_years
    for each in [*(plan for plan in others if plan["id"] != said.get("id")), said]:
        use = Use(species=str(each["species_id"] or ""), products=each["parts"], stems=each["stems"])
        years = added(years, each["planned_on"].year, use)
    return years[str(year)]


def _reasons(found: Iterable[Finding]) -> list[Reason]:
    return [each.told() | {"where": each.path} for each in found if each.code in STAND_IN_THE_WAY]


def _overridden(entry: Entry, reasons: list[Reason], why: str) -> dict[str, Any]:
    return {"overridden": reasons, "override_reason": why, "overridden_by_id": entry.by.member_id}


# -- parts -----------------------------------------------------------------------------------------


def _parts(entry: Entry, new: fields.NewPlannedMix) -> list[dict[str, Any]]:
    parts = [_part(entry.get(Product, part.product), part, new.mix.amount()) for part in new.parts]
    if len({part["product"] for part in parts}) < len(parts):
        raise PartTwice
    volumes = volumes_of(parts)
    if sum(volumes) > new.mix.amount() + len(volumes) + 1:
        raise PartsAboveMix
    return parts


def _part(product: Product, part: fields.PlannedPart, mix_nl: int) -> dict[str, Any]:
    strength, base = part.strength, "ug" if product.is_dry else "nl"
    amount = (
        in_its_measure(product, part.volume or part.mass)[base] if not strength else _amount(product, strength, mix_nl)
    )
    asked = {"value": strength.value, "basis": strength.basis} if strength else None
    used = contained({"product": str(product.id), base: amount, "ingredients": ingredient_snapshot(product)}, amount)
    return used | {"name": product.name, "strength": asked}


def _amount(product: Product, strength: Strength, mix_nl: int) -> int:
    """Return the product that gives so much mix a strength [nL, µg of a dry one]."""
    value, basis, facts = strength.value, strength.basis, facts_for(product, strength)
    if product.is_dry:
        return round(mix_nl * dry_product_g_per_l(value, basis, facts, where="parts") / 1000)
    return round(mix_nl * product_fraction(value, basis, facts, where="parts"))


def _check_day(entry: Entry, new: fields.NewPlannedMix, unit: Unit) -> None:
    if new.work_day is None:
        return
    day = entry.get(WorkDay, new.work_day)
    check_not_ended(day.state)
    if day.property_id != unit.property_id:
        raise UnitElsewhere(name=unit.name)
    if day.on_date != new.planned_on:
        raise PlanOnAnotherDate(on_date=day.on_date)


def _open(entry: Entry, wish: Target) -> PlannedMix:
    plan = entry.get(PlannedMix, wish.id)
    if plan.state != State.OPEN:
        raise PlanEnded(state=plan.state)
    return plan


def _ended(entry: Entry, wish: Target, state: str) -> PlannedMix:
    plan = entry.get(PlannedMix, wish.id)
    return plan if plan.state == state else entry.change(_open(entry, wish), state=state)
