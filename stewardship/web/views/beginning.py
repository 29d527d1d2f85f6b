"""The first run: from a founded group to its first record, step by step; each may be skipped and taken up again."""

from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from stewardship.places.models import Property, Unit
from stewardship.treatments.models import Batch
from stewardship.web.access import Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms.beginning import FORMS, first_property
from stewardship.web.queries.beginning import ANSWERED, BEGINNING, NEED_A_PROPERTY, SKIPPED, STEPS, next_slug, progress

MAY = "manage_group"


@page(MAY)
def begin(request: HttpRequest, here: Here) -> HttpResponse:
    """Go on where the steps were left; with none left say what was reached and what comes next."""
    steps = _progress(request, here)
    slug = next_slug(steps)
    if slug:
        request.session[BEGINNING] = True
        return redirect("begin_step", slug=slug)
    request.session.pop(BEGINNING, None)
    return show(request, "begun", steps=steps, skipped=[each.step for each in steps if not each.done])


@page(MAY, "GET", "POST")
def begin_step(request: HttpRequest, here: Here, slug: str) -> HttpResponse:
    """Ask one step; sent, go on to the next that is left."""
    step = next((each for each in STEPS if each.slug == slug), None)
    if step is None:
        raise Http404
    if slug in NEED_A_PROPERTY and not Property.objects.filter(group_id=here.group.id).exists():
        return redirect("begin_step", slug="property")
    if slug == "use":
        return _use(request, here, step)
    form = FORMS[slug](request.POST if request.method == "POST" else None, here=here)
    if form.is_bound:
        if slug == "mix":
            if form.is_valid():
                return redirect(f"{reverse('mix_card')}?{urlencode(form.cleaned_data)}")
        elif performed(form, here) is not None:
            _note(request, ANSWERED, slug)
            return redirect("begin")
    return _asked(request, here, step, form)


def _asked(request: HttpRequest, here: Here, step: Any, form: Any) -> HttpResponse:
    """Show the form of a step, with the property that it is about."""
    steps = _progress(request, here)
    told = {"step": step, "steps": steps, "form": form, "left": _left(steps)}
    if step.slug in NEED_A_PROPERTY:
        told["property"] = first_property(here)
    return show(request, "begin", status=form.status, **told)


@page(MAY, "POST")
def skip_step(request: HttpRequest, here: Here, slug: str) -> HttpResponse:
    """Pass a step over; its link stays, and it may be taken up at any time."""
    if slug not in {each.slug for each in STEPS}:
        raise Http404
    _note(request, SKIPPED, slug)
    return redirect("begin")


def onward(request: HttpRequest, to: str, **ids: Any) -> HttpResponse:
    """Return to the steps if somebody is on the way through them, else to the page of what was recorded."""
    return redirect("begin") if request.session.get(BEGINNING) else redirect(to, **ids)


def _use(request: HttpRequest, here: Here, step: Any) -> HttpResponse:
    """Lead to the page on which use is recorded, with the first batch and unit chosen."""
    batch = Batch.objects.filter(group_id=here.group.id, voided_at=None).order_by("-mixed_at", "-id").first()
    unit = Unit.objects.filter(group_id=here.group.id).order_by("entered_at", "id").first()
    if batch is None or unit is None:
        steps = _progress(request, here)
        return show(request, "begin", step=step, steps=steps, lacks_batch=batch is None, lacks_unit=unit is None)
    return redirect(f"{reverse('record_use')}?{urlencode({'batch': batch.id, 'unit': unit.id})}")


def _progress(request: HttpRequest, here: Here) -> list[Any]:
    return progress(here, request.session.get(SKIPPED, []), request.session.get(ANSWERED, []))


def _left(steps: list[Any]) -> int:
    return sum(not each.done and not each.skipped for each in steps)


def _note(request: HttpRequest, key: str, slug: str) -> None:
    request.session[key] = [*request.session.get(key, []), slug]
