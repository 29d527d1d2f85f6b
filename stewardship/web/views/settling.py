"""Entries that were held: who waits for what, and how a coordinator settles it."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.sync.models import ToSettle
from stewardship.web.access import Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms import settling as forms
from stewardship.web.queries import settling as queries

MAY = "void_own_held"

ACTS: dict[str, tuple[type[forms.SettlingForm], str, str]] = {
    "release": (forms.ReleaseForm, "settle", "It is recorded in its author's name."),
    "settle": (forms.DecideForm, "settle", "It is settled."),
    "void": (forms.VoidForm, MAY, "It is voided: it stays on record and counts nowhere."),
}
"""Act in an address -> its form, the capability it takes, and what is said once it is done."""


@page(MAY)
def to_settle(request: HttpRequest, here: Here) -> HttpResponse:
    """List what waits and what was settled last: a coordinator sees all, anybody else their own."""
    waiting, past = (queries.with_gists(here, several) for several in (queries.waiting(here), queries.past(here)))
    return show(request, "to_settle", waiting=waiting, past=past)


@page(MAY)
def entry_to_settle(request: HttpRequest, here: Here, item_id: UUID) -> HttpResponse:
    """Show one entry that was held, with all that was sent."""
    return _shown(request, here, _one(here, item_id))


@page(MAY, "POST")
def act_on_entry(request: HttpRequest, here: Here, item_id: UUID, act: str) -> HttpResponse:
    """Release it, decide it field by field, or void it."""
    if act not in ACTS or not here.actor.may(ACTS[act][1]):
        raise Http404
    kind, _, done = ACTS[act]
    item = _one(here, item_id)
    form = kind(request.POST, here=here, item=item, said=queries.said_of(here, item))
    if performed(form, here) is None:
        return _shown(request, here, item, form)
    messages.success(request, done)
    return redirect("to_settle")


def _one(here: Here, item_id: UUID) -> ToSettle:
    found = queries.items(here).filter(id=item_id).first()
    if found is None:
        raise Http404
    return found


def _shown(request: HttpRequest, here: Here, item: ToSettle, refused: Any = None) -> HttpResponse:
    said = queries.said_of(here, item)
    made = {name: kind(here=here, item=item, said=said) for name, (kind, *_) in ACTS.items()}
    made |= {name: refused for name, (kind, *_) in ACTS.items() if isinstance(refused, kind)}
    told = {"item": item, "said": said, "refused": refused, "release_form": made["release"]}
    told |= {"like": queries.like_of(here, item), "batch": queries.batch_of(here, item)}
    told |= {"settle_form": made["settle"], "void_form": made["void"]}
    return show(request, "entry_to_settle", status=refused.status if refused else 200, **told)
