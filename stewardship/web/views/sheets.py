"""A work day on paper: a sheet to print and fill in, and the page on which it is typed."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.catalog.models import Species
from stewardship.rules.limits import WAITS
from stewardship.rules.methods import HERBICIDE_METHODS
from stewardship.web.access import Here, page, show
from stewardship.web.acts import marks_of, performed
from stewardship.web.forms.sheets import HEADINGS, SheetForm
from stewardship.web.queries.sheets import batches_of_day, units_of_day
from stewardship.web.views.days import day_of

BLANK_ROWS = 14
"""Rows of an empty sheet: a page in landscape."""


@page("read")
def sheet(request: HttpRequest, here: Here, day_id: UUID) -> HttpResponse:
    """Show an empty day sheet to print."""
    day = day_of(here, day_id)
    return show(
        request, "day_sheet", day=day, zone=day.zone(), headings=HEADINGS, rows=range(BLANK_ROWS),
        batches=batches_of_day(day), units=units_of_day(day), waits=[wait.words for wait in WAITS.values()],
        methods=HERBICIDE_METHODS,
        kinds=Species.objects.filter(group_id=here.group.id, retired_at=None).order_by("scientific_name", "id"),
    )  # fmt: skip


@page("record_work", "GET", "POST")
def transcribe(request: HttpRequest, here: Here, day_id: UUID) -> HttpResponse:
    """Type a sheet that was filled in; "more rows" only adds rows, and what was typed stays."""
    day = day_of(here, day_id)
    form = SheetForm(request.POST if request.method == "POST" else None, here=here, day=day)
    done = performed(form, here) if form.is_bound and not form.wants_more else None
    if done is None:
        return show(request, "transcribe", form=form, day=day, headings=HEADINGS, status=form.status)
    messages.success(request, "The sheet is recorded. Whoever applied signs their own record on its page.")
    for mark in marks_of(done):
        messages.warning(request, f"Recorded and marked: {mark['detail']}")
    return redirect("work_day", day_id=day.id)
