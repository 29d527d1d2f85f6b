"""Whether what is planned for a day was approved."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from stewardship.accounts.models import Group
from stewardship.journal.book import Entry
from stewardship.rules.dates import said
from stewardship.rules.methods import WORDS
from stewardship.workdays.models import ApprovedTask, WorkDay
from stewardship.workdays.reasons import DayNotApproved, Reason


def not_approved(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell what of a day its approved task does not cover, and whether it lacks one where the group wants it."""
    if day.task_id is None:
        if _group(entry).wants_approved_tasks:
            detail = "The day names no approved task. Choose the one that it serves, or have it approved first."
            yield _reason("task_missing", detail, day)
        return
    entry.load(ApprovedTask, [day.task_id], lock=False)
    task = entry.get(ApprovedTask, day.task_id)
    if task.withdrawn_at:
        detail = f"The approval of {task} was withdrawn: {task.withdrawn_reason}"
        yield _reason("task_withdrawn", detail, day)
    for code, detail in (*_places_and_times(task, day), *_manners(task, day)):
        yield _reason(code, detail, day)


@contextmanager
def check_approved(entry: Entry, day: WorkDay) -> Iterator[None]:
    """Refuse a change of an open day by which its task covers it less than before. Raises DayNotApproved."""
    before = [reason["code"] for reason in not_approved(entry, day)]
    yield
    found = list(not_approved(entry, day))
    if day.state == "open" and any(reason["code"] not in before for reason in found):
        raise DayNotApproved(found)


def tasks_of_days(entry: Entry, wishes: list[Any]) -> None:
    """Read the approved tasks that these days name."""
    named = {day.task_id for day in entry.known(WorkDay).values() if day.task_id}
    entry.load(ApprovedTask, named, lock=False)


def _group(entry: Entry) -> Group:
    entry.load(Group, [entry.group_id], lock=False)
    return entry.get(Group, entry.group_id)


def _reason(code: str, detail: str, day: WorkDay) -> Reason:
    return {"code": code, "detail": detail, "where": f"approved-tasks/{day.task_id}" if day.task_id else "task"}


def _places_and_times(task: ApprovedTask, day: WorkDay) -> Iterator[tuple[str, str]]:
    if task.units and not day.units:
        yield "task_other_unit", f"{task} is approved for some units only. Choose the units of this day."
    elif task.units and not set(day.units) <= set(task.units):
        yield "task_other_unit", f"{task} is not approved for every unit of this day."
    if day.on_date < task.from_on or (task.to_on and day.on_date > task.to_on):
        until = f"until {said(task.to_on)}" if task.to_on else "on"
        yield (
            "task_out_of_season",
            f"{task} is approved from {said(task.from_on)} {until}, not for {said(day.on_date)}.",
        )


def _manners(task: ApprovedTask, day: WorkDay) -> Iterator[tuple[str, str]]:
    if day.herbicide_planned and not task.herbicide:
        yield "task_without_herbicide", f"{task} is approved without herbicide."
    if task.species and not set(day.species) <= set(task.species):
        yield "task_other_species", f"{task} is not approved for every species that is planned."
    if task.methods and (others := [WORDS[m] for m in day.methods if m not in task.methods]):
        yield "task_other_method", f"{task} is not approved for {', '.join(others)}."
