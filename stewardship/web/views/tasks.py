"""Approved tasks of a property: the list, a new one, one withdrawn."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.catalog.models import Species
from stewardship.places.models import Property, Unit
from stewardship.web.access import Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms.base import ActForm
from stewardship.web.forms.tasks import TaskForm, WantTasksForm, WithdrawTaskForm
from stewardship.web.views.places import property_of
from stewardship.workdays.models import ApprovedTask


@page("read")
def tasks(request: HttpRequest, here: Here, property_id: UUID) -> HttpResponse:
    """Show what is approved for a property, and what was."""
    return _shown(request, here, property_of(here, property_id))


@page("manage_work_days", "POST")
def add_task(request: HttpRequest, here: Here, property_id: UUID) -> HttpResponse:
    """Enter a task that was approved."""
    found = property_of(here, property_id)
    form = TaskForm(request.POST, here=here, property_=found)
    if performed(form, here) is None:
        return _shown(request, here, found, refused=form)
    messages.success(request, "The approved task is on record. A work day can name it now.")
    return redirect("tasks", property_id=found.id)


@page("manage_work_days", "POST")
def withdraw_task(request: HttpRequest, here: Here, property_id: UUID, task_id: UUID) -> HttpResponse:
    """Withdraw an approval, with the reason."""
    found = property_of(here, property_id)
    task = ApprovedTask.objects.filter(group_id=here.group.id, property=found, id=task_id).first()
    if task is None:
        raise Http404
    form = WithdrawTaskForm(request.POST, here=here, task=task)
    if performed(form, here) is None:
        return _shown(request, here, found, refused=form)
    messages.success(request, "The approval is withdrawn. Days that serve this task cannot be opened or confirmed now.")
    return redirect("tasks", property_id=found.id)


@page("manage_group", "POST")
def want_tasks(request: HttpRequest, here: Here, property_id: UUID) -> HttpResponse:
    """Let the group want an approved task for every day, or want none any more."""
    found = property_of(here, property_id)
    form = WantTasksForm(request.POST, here=here)
    if performed(form, here) is None:
        return _shown(request, here, found, refused=form)
    messages.success(request, "The setting is kept. It holds for every property of the group.")
    return redirect("tasks", property_id=found.id)


def _shown(request: HttpRequest, here: Here, found: Property, refused: ActForm | None = None) -> HttpResponse:
    listed = ApprovedTask.objects.filter(group_id=here.group.id, property=found).select_related("approver")
    told = list(listed.order_by("-from_on", "id"))
    named = {str(u.id): u.name for u in Unit.objects.filter(group_id=here.group.id, property=found)}
    named |= {str(s.id): str(s) for s in Species.objects.filter(group_id=here.group.id)}
    may = here.actor.may("manage_work_days")
    rows = [_row(here, task, named, refused, may) for task in told]
    form = refused if isinstance(refused, TaskForm) else TaskForm(here=here, property_=found)
    return show(
        request, "tasks", property=found, rows=rows, form=form, refused=refused,
        status=refused.status if refused else 200,
    )  # fmt: skip


def _row(
    here: Here, task: ApprovedTask, named: dict[str, str], refused: ActForm | None, may: bool
) -> tuple[ApprovedTask, list[str], list[str], ActForm | None]:
    """Return a task with the names of its units and species, and the form to withdraw it."""
    is_refused = isinstance(refused, WithdrawTaskForm) and refused.task.id == task.id
    form = refused if is_refused else WithdrawTaskForm(here=here, task=task, auto_id=f"id_{task.id.hex[-6:]}_%s")
    names = [[named[id] for id in ids if id in named] for ids in (task.units, task.species)]
    return task, names[0], names[1], form if may and not task.withdrawn_at else None
