"""Plans of work days: a new one, a copy, a change; a month at a glance."""

from datetime import date
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.web.access import Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms import plans as forms
from stewardship.web.queries.months import month_shown
from stewardship.web.views.days import day_of
from stewardship.workdays.states import ENDED


@page("manage_work_days", "GET", "POST")
def new_work_day(request: HttpRequest, here: Here) -> HttpResponse:
    """Plan a work day with its duties; ``?copy=`` begins with what another one says."""
    copied = request.GET.get("copy", "")
    initial = forms.copy_of(day_of(here, id)) if (id := _id(copied)) else {}
    form = forms.NewDayForm(request.POST if request.method == "POST" else None, here=here, initial=initial)
    done = performed(form, here) if form.is_bound else None
    if done is None:
        return show(request, "new_work_day", form=form, status=form.status)
    messages.success(request, "The work day is planned, as a draft. Open it, and people can sign up.")
    return redirect("work_day", day_id=done[0].result["id"])


@page("manage_work_days", "GET", "POST")
def edit_work_day(request: HttpRequest, here: Here, day_id: UUID) -> HttpResponse:
    """Change what is planned for a day."""
    day = day_of(here, day_id)
    if day.state in ENDED:
        messages.warning(request, "Nothing about this day can be changed any more.")
        return redirect("work_day", day_id=day.id)
    form = forms.AmendDayForm(request.POST if request.method == "POST" else None, here=here, day=day)
    done = performed(form, here) if form.is_bound else None
    if done is None:
        return show(request, "edit_work_day", form=form, day=day, status=form.status)
    messages.success(request, "The change is kept. Who signed up is told of another date, time or meeting point.")
    return redirect("work_day", day_id=day.id)


@page("read")
def month(request: HttpRequest, here: Here) -> HttpResponse:
    """Show the work days of a month: ``?month=2027-07``, else the present one."""
    return show(request, "month", month=month_shown(here, _month(request.GET.get("month", ""), here.today)))


def _month(written: str, today: date) -> date:
    """Return the first day of the month that is written, else of this one."""
    try:
        return date.fromisoformat(f"{written}-01")
    except ValueError:
        return today.replace(day=1)


def _id(written: str) -> UUID | None:
    try:
        return UUID(written)
    except ValueError:
        return None
