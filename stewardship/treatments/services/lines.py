"""What was used and what was worked: applications and work lines."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from msgspec import UNSET

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns, no_quantity
from stewardship.places.models import Property, Unit
from stewardship.places.zones import zone_of
from stewardship.rules.dates import local_date
from stewardship.treatments import fields
from stewardship.treatments.models import Application, Batch, Session, WorkLine
from stewardship.treatments.services import area_years, batches, facts


class UnitElsewhere(RuleViolation):
    """A session is at one property."""

    code = "unit_elsewhere"
    message = "The unit {name} belongs to another property than the session. Record a session of its own there."
    where = "unit"


class InfestedAboveTreated(RuleViolation):
    """The plants stand within the area that was treated."""

    code = "infested_above_treated"
    message = "The infested area is larger than the whole area treated. Check both, and their units."
    where = "infested_area"


def record_application(entry: Entry, new: fields.NewApplication) -> Application:
    """Record how much of a batch was used, where and how; the batch gives it up."""
    session = facts.living(entry.get(Session, new.session))
    told = _columns(new)
    _check_areas(told)
    unit = _unit(entry, new.unit or session.unit_id, session.property_id)
    mix_nl, products = batches.take(entry, entry.get(Batch, new.batch), new.mix.amount())
    values = told | {
        "unit_id": unit.id,
        "property_id": unit.property_id,
        "work_day_id": session.work_day_id,
        "on_date": session.on_date,
        "mix_nl": mix_nl,
        "products": products,
        "marks": session.marks,
    }
    line = entry.create(Application, id=new.id, **values)
    area_years.count(entry, line)
    return line


def amend_application(entry: Entry, wish: fields.AmendApplication) -> Application:
    """Correct an application; another amount restates this line's product and leaves the others as they are."""
    line = facts.living(entry.get(Application, wish.id))
    values = _columns(wish)
    _check_areas(vars(line) | values)
    if wish.unit is not UNSET:
        _unit(entry, wish.unit, line.property_id)
    if wish.mix is not UNSET and wish.mix.amount() != line.mix_nl:
        batch = entry.get(Batch, line.batch_id)
        batches.give_back(entry, batch, line)
        values["mix_nl"], values["products"] = batches.take(entry, batch, wish.mix.amount())
    area_years.take_out(entry, line)
    entry.change(line, **values)
    area_years.count(entry, line)
    return line


def void_application(entry: Entry, wish: Target) -> Application:
    """Take an application out of the totals; its batch gets the mix back."""
    line = entry.get(Application, wish.id)
    if not line.voided_at:
        batches.give_back(entry, entry.get(Batch, line.batch_id), line)
        area_years.take_out(entry, line)
    return facts.void(entry, line)


def reinstate_application(entry: Entry, wish: Target) -> Application:
    """Put a voided application back, as far as its batch still holds the mix."""
    line = facts.voided(entry, Application, wish)
    facts.living(entry.get(Session, line.session_id))
    mix_nl, products = batches.take(entry, entry.get(Batch, line.batch_id), line.mix_nl)
    entry.change(line, voided_at=None, mix_nl=mix_nl, products=products)
    area_years.count(entry, line)
    return line


def record_work_line(entry: Entry, new: fields.NewWorkLine) -> WorkLine:
    """Record work done without herbicide."""
    unit = entry.get(Unit, new.unit)
    on = local_date(new.done_at, zone_of(entry, entry.get(Property, unit.property_id)))
    day = facts.join_day(entry, new.work_day)
    values = _columns(new) | {"property_id": unit.property_id, "on_date": on}
    values["marks"] = facts.day_marks(day, unit.property_id) + facts.date_marks(day, on, "done_at")
    return entry.create(WorkLine, id=new.id, **values)


def amend_work_line(entry: Entry, wish: fields.AmendWorkLine) -> WorkLine:
    """Correct a work line."""
    line = facts.living(entry.get(WorkLine, wish.id))
    return entry.change(line, **_columns(wish))


def void_work_line(entry: Entry, wish: Target) -> WorkLine:
    """Take a work line out of the totals."""
    return facts.void(entry, entry.get(WorkLine, wish.id))


def reinstate_work_line(entry: Entry, wish: Target) -> WorkLine:
    """Put a voided work line back."""
    return entry.change(facts.voided(entry, WorkLine, wish), voided_at=None)


def _unit(entry: Entry, unit_id: UUID, property_id: UUID) -> Unit:
    """Return a unit of this property. Raises UnitElsewhere."""
    unit = entry.get(Unit, unit_id)
    if unit.property_id != property_id:
        raise UnitElsewhere(name=unit.name)
    return unit


def _columns(wish: Any) -> dict[str, Any]:
    """Return the columns of a line; an area that is not stated is three empty columns."""
    values = columns(wish)
    for area in ("area", "infested_area"):
        if getattr(wish, area, UNSET) is None:
            del values[area]
            values |= no_quantity(area, "mm2")
    return values


def _check_areas(values: Mapping[str, Any]) -> None:
    treated_mm2, infested_mm2 = values["area_mm2"], values["infested_area_mm2"]
    if treated_mm2 is not None and infested_mm2 is not None and infested_mm2 > treated_mm2:
        raise InfestedAboveTreated
