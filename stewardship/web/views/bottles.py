"""Numbered bottles: taken out, brought back, and what was used of them said by species."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.catalog.models import Product
from stewardship.treatments.models import Container
from stewardship.web.access import Here, page, show
from stewardship.web.acts import marks_of, performed
from stewardship.web.forms.base import ActForm
from stewardship.web.forms.bottles import BackForm, OutForm, WhereForm
from stewardship.web.forms.uses import has_ground
from stewardship.web.queries.bottles import bottles_shown
from stewardship.web.queries.days import lines_of


@page("read")
def bottles(request: HttpRequest, here: Here) -> HttpResponse:
    """List the bottles that are out, those to split, and the latest that are done with."""
    return show(request, "bottles", shown=bottles_shown(here))


@page("record_work", "GET", "POST")
def take_out(request: HttpRequest, here: Here) -> HttpResponse:
    """Record that a bottle was filled and taken out."""
    asked = {name: request.GET[name] for name in ("batch", "work_day") if name in request.GET}
    form = OutForm(request.POST, here=here) if request.method == "POST" else OutForm(here=here, initial=asked)
    done = performed(form, here) if form.is_bound else None
    if done is None:
        return show(request, "take_out", form=form, status=form.status)
    return _told(request, done, f"Bottle {form.cleaned_data['number']} is out.")


@page("read")
def bottle(request: HttpRequest, here: Here, bottle_id: UUID) -> HttpResponse:
    """Show one bottle, and ask for what it wants next."""
    return _shown(request, here, _bottle(here, bottle_id))


@page("record_work", "POST")
def bring_back(request: HttpRequest, here: Here, bottle_id: UUID) -> HttpResponse:
    """Record what came back in a bottle."""
    found = _bottle(here, bottle_id)
    form = BackForm(request.POST, here=here, bottle=found)
    return _done(request, here, found, form, "It is back. Now say where it went.")


@page("record_work", "POST")
def split(request: HttpRequest, here: Here, bottle_id: UUID) -> HttpResponse:
    """Record on what the content of a bottle was used."""
    found = _bottle(here, bottle_id)
    form = WhereForm(request.POST, here=here, bottle=found)
    return _done(request, here, found, form, "What was used of it is recorded.")


def _done(request: HttpRequest, here: Here, found: Container, form: Any, said: str) -> HttpResponse:
    done = performed(form, here)
    if done is None:
        return _shown(request, here, found, refused=form)
    return _told(request, done[-1:], said)


def _told(request: HttpRequest, done: list[Any], said: str) -> HttpResponse:
    messages.success(request, said)
    for mark in marks_of(done):
        messages.warning(request, f"Recorded and marked: {mark['detail']}")
    return redirect("bottle", bottle_id=done[-1].result["id"])


def _shown(request: HttpRequest, here: Here, found: Container, *, refused: ActForm | None = None) -> HttpResponse:
    lines = list(lines_of(here).filter(container=found))
    parts = [part["product"] for part in found.batch.parts]
    return show(
        request, "bottle", bottle=found, form=refused or _next(here, found), refused=refused, lines=lines,
        ground=has_ground(here), species=list({line.species_id: line.species for line in lines}.values()),
        products=list(Product.objects.filter(group_id=here.group.id, id__in=parts).order_by("name")),
        status=refused.status if refused else 200,
    )  # fmt: skip


def _next(here: Here, found: Container) -> ActForm | None:
    """Return the form for what a bottle wants next: to come back, or to be split."""
    if found.voided_at or not here.actor.may("record_work"):
        return None
    if found.used_nl is None:
        return BackForm(here=here, bottle=found)
    return WhereForm(here=here, bottle=found) if found.unshared_nl else None


def _bottle(here: Here, bottle_id: UUID) -> Container:
    """Return the group's bottle; another group's does not exist here."""
    told = ("batch", "holder", "work_day")
    found = Container.objects.select_related(*told).filter(group_id=here.group.id, id=bottle_id).first()
    if found is None:
        raise Http404
    return found
