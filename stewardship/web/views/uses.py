"""What was used, recorded with its session; work without herbicide beside it."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.catalog.models import Product
from stewardship.treatments.models import WorkLine
from stewardship.web.access import Here, page, show
from stewardship.web.acts import marks_of, performed
from stewardship.web.forms.uses import HandWorkForm, UseForm, has_ground
from stewardship.web.views.beginning import onward

ASKED = ("batch", "unit", "work_day")
"""What an address may fill in beforehand."""


@page("record_work", "GET", "POST")
def record_use(request: HttpRequest, here: Here) -> HttpResponse:
    """Record what was used of a batch; "one more line" only adds a row, and what was typed stays."""
    asked = {name: request.GET[name] for name in ASKED if name in request.GET}
    form = UseForm(request.POST, here=here) if request.method == "POST" else UseForm(here=here, initial=asked)
    done = performed(form, here) if form.is_bound and not form.wants_more else None
    if done is not None:
        messages.success(request, "What was used is recorded.")
        return onward(request, "session", session_id=done[0].result["id"])
    return show(
        request, "record_use", form=form, ground=has_ground(here), products=_products(here, form), status=form.status,
    )  # fmt: skip


def _products(here: Here, form: UseForm) -> list[Product]:
    """Return the products in the chosen batch: their cautions belong on its form."""
    batch = form.batches.get(str(form["batch"].value()))
    ids = [part["product"] for part in batch.parts] if batch else []
    return list(Product.objects.filter(group_id=here.group.id, id__in=ids).order_by("name"))


@page("record_work", "GET", "POST")
def record_hand_work(request: HttpRequest, here: Here) -> HttpResponse:
    """Record work done without herbicide."""
    asked = {name: request.GET[name] for name in ASKED if name in request.GET}
    form = HandWorkForm(request.POST, here=here) if request.method == "POST" else HandWorkForm(here=here, initial=asked)
    done = performed(form, here) if form.is_bound else None
    if done is None:
        return show(request, "record_hand_work", form=form, ground=has_ground(here), status=form.status)
    messages.success(request, "The work is recorded.")
    for mark in marks_of(done):
        messages.warning(request, f"Recorded and marked: {mark['detail']}")
    return redirect("hand_work", line_id=done[0].result["id"])


@page("read")
def hand_work(request: HttpRequest, here: Here, line_id: UUID) -> HttpResponse:
    """Show one line of work without herbicide."""
    told = ("unit", "property", "species", "work_day")
    found = WorkLine.objects.select_related(*told).filter(group_id=here.group.id, id=line_id).first()
    if found is None:
        raise Http404
    return show(request, "hand_work", line=found)
