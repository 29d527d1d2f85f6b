"""Tasks are approved, corrected and withdrawn."""

from typing import Any
from uuid import UUID

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns
from stewardship.places.models import Property
from stewardship.workdays import fields
from stewardship.workdays.models import ApprovedTask
from stewardship.workdays.services.planning import as_text, units_of


class ApproverMissing(RuleViolation):
    """Somebody approved a task."""

    code = "approver_missing"
    message = "Say who approved the task: in words, or which member."
    where = "approved_by"


class TaskEndsBeforeItBegins(RuleViolation):
    """A task is approved from one day to a later one."""

    code = "task_ends_before_it_begins"
    message = "The last day lies before the first. Correct one of the two dates."
    where = "to_on"


def add_approved_task(entry: Entry, new: fields.NewApprovedTask) -> ApprovedTask:
    """Enter a task that was approved for a property."""
    property_ = entry.get(Property, new.property)
    values = as_text(columns(new)) | {"units": units_of(entry, property_.id, new.units)}
    _check(values)
    return entry.create(ApprovedTask, id=new.id, **values)


def amend_approved_task(entry: Entry, wish: fields.AmendApprovedTask) -> ApprovedTask:
    """Correct what was approved; a day that it does not cover any more lacks it from now on."""
    task = entry.get(ApprovedTask, wish.id)
    values = as_text(columns(wish))
    if "units" in values:
        values["units"] = units_of(entry, task.property_id, map(UUID, values["units"]))
    _check(vars(task) | values)
    return entry.change(task, **values)


def withdraw_approved_task(entry: Entry, wish: Target) -> ApprovedTask:
    """Withdraw the approval, with the reason. Again changes nothing."""
    task = entry.get(ApprovedTask, wish.id)
    if task.withdrawn_at:
        return task
    return entry.change(task, withdrawn_at=entry.at, withdrawn_reason=entry.cause.reason)


def reinstate_approved_task(entry: Entry, wish: Target) -> ApprovedTask:
    """Let a withdrawn approval hold again."""
    return entry.change(entry.get(ApprovedTask, wish.id), withdrawn_at=None, withdrawn_reason="")


def _check(values: dict[str, Any]) -> None:
    if not values["approved_by"].strip() and values["approver_id"] is None:
        raise ApproverMissing
    if values["to_on"] and values["to_on"] < values["from_on"]:
        raise TaskEndsBeforeItBegins
