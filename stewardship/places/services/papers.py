"""Permissions of landowners and permits of authorities are entered, corrected, withdrawn; copies are given."""

from collections.abc import Callable, Mapping
from typing import Any, TypeVar
from uuid import UUID

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, json_columns
from stewardship.places import fields
from stewardship.places.models import LandPermission, Permit, Unit
from stewardship.places.models.papers import Paper

P = TypeVar("P", bound=Paper)


class PaperUpsideDown(RuleViolation):
    """A permission or permit ends after it begins."""

    code = "paper_upside_down"
    message = "Its last day lies before its first. Correct one of the two dates."
    where = "valid_to"


class PermitUnitElsewhere(RuleViolation):
    """The units of a permit lie on its property."""

    code = "permit_unit_elsewhere"
    message = (
        "The unit {name} does not belong to the property of this permit. Choose units of one property, and name it."
    )
    where = "units"


def add_permission(entry: Entry, new: fields.NewLandPermission) -> LandPermission:
    """Enter a permission that was given in writing."""
    values = json_columns(new)
    _check_dates(values)
    return entry.create(LandPermission, id=new.id, **values)


def amend_permission(entry: Entry, wish: fields.AmendLandPermission) -> LandPermission:
    """Correct a permission; what was judged by it before keeps its marks."""
    permission, values = entry.get(LandPermission, wish.id), json_columns(wish)
    _check_dates(vars(permission) | values)
    return entry.change(permission, **values)


def give_copy(entry: Entry, wish: fields.GiveCopy) -> LandPermission:
    """Note that whoever permitted the work was given a copy of a record."""
    permission = entry.get(LandPermission, wish.id)
    copy = {"what": wish.what, "on": wish.on.isoformat(), "how": wish.how}
    return permission if copy in permission.copies else entry.change(permission, copies=[*permission.copies, copy])


def add_permit(entry: Entry, new: fields.NewPermit) -> Permit:
    """Enter a permit of an authority."""
    values = json_columns(new)
    _check_dates(values)
    _check_units(entry, values)
    return entry.create(Permit, id=new.id, **values)


def amend_permit(entry: Entry, wish: fields.AmendPermit) -> Permit:
    """Correct a permit; what was judged by it before keeps its marks."""
    permit, values = entry.get(Permit, wish.id), json_columns(wish)
    _check_dates(vars(permit) | values)
    _check_units(entry, {"property_id": permit.property_id} | values)
    return entry.change(permit, **values)


def withdrawing(model: type[P]) -> Callable[[Entry, fields.Withdraw], P]:
    """Return the service that ends a paper before its time, from a day on and with the reason."""

    def withdraw(entry: Entry, wish: fields.Withdraw) -> P:
        paper = entry.get(model, wish.id)
        return entry.change(paper, withdrawn_on=wish.withdrawn_on, withdrawn_why=entry.cause.reason)

    return withdraw


def reinstating(model: type[P]) -> Callable[[Entry, Target], P]:
    """Return the service that takes a withdrawal back, as one that was entered by mistake."""

    def reinstate(entry: Entry, wish: Target) -> P:
        return entry.change(entry.get(model, wish.id), withdrawn_on=None, withdrawn_why="")

    return reinstate


def _check_dates(values: Mapping[str, Any]) -> None:
    if values["valid_to"] is not None and values["valid_to"] < values["valid_from"]:
        raise PaperUpsideDown


def _check_units(entry: Entry, values: dict[str, Any]) -> None:
    """Refuse units of another property than the permit's; they are kept as text, each once."""
    if "units" not in values:
        return
    for id in values["units"]:
        unit = entry.get(Unit, UUID(id))
        if unit.property_id != values["property_id"]:
            raise PermitUnitElsewhere(name=unit.name)
    values["units"] = list(dict.fromkeys(values["units"]))
