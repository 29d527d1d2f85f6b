"""What was used and what was worked: applications and work lines."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from msgspec import UNSET

from stewardship.catalog.models import Species
from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns, no_quantity
from stewardship.places.models import Property, Unit
from stewardship.places.zones import zone_of
from stewardship.rules.balances import Draw
from stewardship.rules.dates import local_date
from stewardship.treatments import fields
from stewardship.treatments.accounts import said_of
from stewardship.treatments.models import Application, Batch, Session, WorkLine
from stewardship.treatments.services import (
    area_years,
    containers,
    draws,
    facts,
    helpers,
    licences,
    limits,
    screening,
    signatures,
)
from stewardship.treatments.services.balances import kept_marks, over_marks
from stewardship.treatments.services.top_ups import source_of


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
    with signatures.correcting(entry, session):
        return _record(entry, session, new)


def _record(entry: Entry, session: Session, new: fields.NewApplication) -> Application:
    told = _columns(new)
    _check_areas(told)
    unit = _unit(entry, new.unit or session.unit_id, session.property_id)
    batch, _ = source_of(entry, new.batch, new.leftover)
    mix_nl, products = draws.take(entry, batch, new.mix.amount())
    containers.charge(entry, new.container, batch.id, mix_nl)
    values = told | {
        "batch_id": batch.id,
        "unit_id": unit.id,
        "property_id": unit.property_id,
        "work_day_id": session.work_day_id,
        "on_date": session.on_date,
        "mix_nl": mix_nl,
        "products": products,
    }
    area_years.count(entry, values)
    values["marks"] = [
        *session.marks,
        *_over_marks(entry, batch, session, mix_nl, new),
        *licences.marks_of_line(entry, session, batch, values),
        *screening.line_marks(entry, batch, values, entry.by.person_id),
        *limits.of_line(entry, values, vars(session)),
        *helpers.marks_of_line(entry, values, session.helpers),
    ]
    return entry.create(Application, id=new.id, **values)


def amend_application(entry: Entry, wish: fields.AmendApplication) -> Application:
    """Correct an application; another amount restates this line's product and leaves the others as they are."""
    line = facts.living(entry.get(Application, wish.id))
    with signatures.correcting(entry, entry.get(Session, line.session_id)):
        return _amend(entry, line, wish)


def _amend(entry: Entry, line: Application, wish: fields.AmendApplication) -> Application:
    values = _columns(wish)
    _check_areas(vars(line) | values)
    if wish.unit is not UNSET:
        _unit(entry, wish.unit, line.property_id)
    batch = entry.get(Batch, line.batch_id)
    if wish.mix is not UNSET and wish.mix.amount() != line.mix_nl:
        draws.give_back(entry, batch, line.mix_nl, line.products)
        values["mix_nl"], values["products"] = draws.take(entry, batch, wish.mix.amount())
        containers.charge(entry, line.container_id, batch.id, values["mix_nl"] - line.mix_nl)
        session = entry.get(Session, line.session_id)
        values["marks"] = kept_marks(line) + _over_marks(entry, batch, session, values["mix_nl"], line)
    values["marks"] = screening.judged_anew(entry, batch, line, values)
    if values.get("method", line.method) != line.method:
        session = entry.get(Session, line.session_id)
        kept = licences.without(values["marks"], session)
        values["marks"] = kept + licences.marks_of_line(entry, session, batch, vars(line) | values)
    area_years.take_out(entry, vars(line))
    return _counted(entry, line, values)


def _counted(entry: Entry, line: Application, values: dict[str, Any]) -> Application:
    """Change a line that is not counted now, count it, and say anew what stored limits say of it."""
    said = vars(line) | values
    area_years.count(entry, said)
    session = entry.get(Session, line.session_id)
    marks = limits.without(helpers.without(said["marks"])) + limits.of_line(entry, said, vars(session))
    marks += helpers.marks_of_line(entry, said, session.helpers)
    return entry.change(line, **values | {"marks": marks})


def void_application(entry: Entry, wish: Target) -> Application:
    """Take an application out of the totals; its batch gets the mix back."""
    line = entry.get(Application, wish.id)
    with signatures.correcting(entry, entry.get(Session, line.session_id)):
        if not line.voided_at:
            draws.give_back(entry, entry.get(Batch, line.batch_id), line.mix_nl, line.products)
            containers.charge(entry, line.container_id, line.batch_id, -line.mix_nl)
            area_years.take_out(entry, vars(line))
        return facts.void(entry, line)


def reinstate_application(entry: Entry, wish: Target) -> Application:
    """Put a voided application back, as far as its batch still holds the mix."""
    line = facts.voided(entry, Application, wish)
    session, batch = facts.living(entry.get(Session, line.session_id)), entry.get(Batch, line.batch_id)
    with signatures.correcting(entry, session):
        mix_nl, products = draws.take(entry, batch, line.mix_nl)
        containers.charge(entry, line.container_id, batch.id, mix_nl)
        marks = kept_marks(line) + _over_marks(entry, batch, session, mix_nl, line)
        values = {"voided_at": None, "mix_nl": mix_nl, "products": products, "marks": marks}
        return _counted(entry, line, values)


def record_work_line(entry: Entry, new: fields.NewWorkLine) -> WorkLine:
    """Record work done without herbicide."""
    unit = entry.get(Unit, new.unit)
    on = local_date(new.done_at, zone_of(entry, entry.get(Property, unit.property_id)))
    day = facts.join_day(entry, new.work_day)
    values = _columns(new) | {"property_id": unit.property_id, "on_date": on}
    values["marks"] = [
        *facts.day_marks(day, unit.property_id),
        *facts.date_marks(day, on, "done_at"),
        *_method_marks(entry, values),
    ]
    return entry.create(WorkLine, id=new.id, **values)


def amend_work_line(entry: Entry, wish: fields.AmendWorkLine) -> WorkLine:
    """Correct a work line."""
    line = facts.living(entry.get(WorkLine, wish.id))
    values = _columns(wish)
    marks = limits.without(line.marks) + _method_marks(entry, vars(line) | values)
    return entry.change(line, **values, marks=marks)


def void_work_line(entry: Entry, wish: Target) -> WorkLine:
    """Take a work line out of the totals."""
    return facts.void(entry, entry.get(WorkLine, wish.id))


def reinstate_work_line(entry: Entry, wish: Target) -> WorkLine:
    """Put a voided work line back."""
    return entry.change(facts.voided(entry, WorkLine, wish), voided_at=None)


def _over_marks(entry: Entry, batch: Batch, session: Session, mix_nl: int, said: Any) -> facts.Marks:
    """Return what to mark about a line, ``said`` or corrected, that makes more of its batch than was mixed."""
    new = Draw("applied", mix_nl, session.started_at, said_of(said, session.id))
    return over_marks(entry, batch, new, "mix", without=said if isinstance(said, Application) else None)


def _method_marks(entry: Entry, said: dict[str, Any]) -> facts.Marks:
    """Return what to mark about work by hand: where the species asks for something else than the method."""
    return limits.marks(limits.of_species(entry.get(Species, said["species_id"]), said["method"]))


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
