"""Mixes: asked for, shown as one card, recorded as a batch."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse

from stewardship.catalog import mixing
from stewardship.catalog.mixing import MixPlan
from stewardship.catalog.models import Product
from stewardship.catalog.queries import shelf_for
from stewardship.errors import RuleViolation, Unavailable
from stewardship.web.access import Here, page, show
from stewardship.web.acts import marks_of, performed
from stewardship.web.forms.mixes import MixedForm, MixForm
from stewardship.web.views.beginning import onward


@page("plan_mix")
def mix(request: HttpRequest, here: Here) -> HttpResponse:
    """Ask for a mix."""
    return show(request, "mix", form=MixForm(here=here, initial=request.GET.dict()))


@page("plan_mix", "GET", "POST")
def mix_card(request: HttpRequest, here: Here) -> HttpResponse:
    """Show what to pour as one card, which its address makes again; with a POST record that it was mixed."""
    form = MixForm(request.GET, here=here)
    wish = form.wish()
    try:
        plan = mixing.plan(wish, shelf_for(here.group, wish)) if wish else None
    except Unavailable as refusal:
        raise Http404 from refusal
    except RuleViolation as refusal:
        form.refuse(refusal)
        plan = None
    if plan is None or wish is None:
        return show(request, "mix", form=form, status=400)
    return _card(request, here, form, wish, plan)


def _card(request: HttpRequest, here: Here, form: MixForm, wish: MixPlan, plan: dict[str, Any]) -> HttpResponse:
    products = list(Product.objects.filter(group_id=here.group.id, id__in=[p.product for p in wish.parts]))
    mixed, status = None, 200
    if here.actor.may("record_work") and not any(product.is_dry for product in products):
        mixed = MixedForm(request.POST if request.method == "POST" else None, here=here, plan=plan)
    if request.method == "POST":
        if mixed is None:
            raise Http404
        done = performed(mixed, here)
        if done is not None:
            messages.success(request, "The batch is recorded.")
            for mark in marks_of(done):
                messages.warning(request, f"Recorded and marked: {mark['detail']}")
            return onward(request, "batch", batch_id=done[0].result["id"])
        status = mixed.status
    return show(request, "mix_card", plan=plan, products=products, form=form, mixed=mixed, wish=wish, status=status)
