"""What was used: recorded with its session, shown with what is left; work without herbicide beside it."""

from uuid import UUID
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.catalog.models import Product
from stewardship.treatments.models import Session, WorkLine
from stewardship.web.access import Here, page, show
from stewardship.web.acts import marks_of, performed
from stewardship.web.forms.uses import EndForm, HandWorkForm, UseForm, has_ground
from stewardship.web.queries.days import lines_of

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
        return redirect("session", session_id=done[0].result["id"])
    return show(
        request, "record_use", form=form, ground=has_ground(here), products=_products(here, form), status=form.status,
    )  # fmt: skip


def _products(here: Here, form: UseForm) -> list[Product]:
    """Return the products in the chosen batch: their cautions belong on its form."""
    batch = form.batches.get(str(form["batch"].value()))
    ids = [part["product"] for part in batch.parts] if batch else []
    return list(Product.objects.filter(group_id=here.group.id, id__in=ids).order_by("name"))


@page("read")
def session(request: HttpRequest, here: Here, session_id: UUID) -> HttpResponse:
    """Show a session: what was recorded, what is left of each batch, what was flagged."""
    return _shown(request, here, _session(here, session_id))


@page("record_work", "POST")
def end_session(request: HttpRequest, here: Here, session_id: UUID) -> HttpResponse:
    """Record when a session ended."""
    found = _session(here, session_id)
    form = EndForm(request.POST, here=here, session=found)
    if performed(form, here) is None:
        return _shown(request, here, found, refused=form)
    messages.success(request, "The end of the session is recorded.")
    return redirect("session", session_id=session_id)


def _session(here: Here, session_id: UUID) -> Session:
    """Return the group's session; another group's does not exist here."""
    told = ("unit", "property", "applicator", "contractor", "work_day")
    found = Session.objects.select_related(*told).filter(group_id=here.group.id, id=session_id).first()
    if found is None:
        raise Http404
    return found


def _shown(request: HttpRequest, here: Here, found: Session, *, refused: EndForm | None = None) -> HttpResponse:
    lines = list(
        lines_of(here).filter(session=found).prefetch_related("product_uses__product", "active_uses__active_ingredient")
    )
    batches = list({line.batch_id: line.batch for line in lines}.values())
    products = Product.objects.filter(
        group_id=here.group.id, id__in={part["product"] for batch in batches for part in batch.parts}
    )
    return show(
        request, "session", session=found, zone=ZoneInfo(found.time_zone), lines=lines, batches=batches,
        products=list(products),
        species=list({line.species_id: line.species for line in lines}.values()),
        end=refused or (EndForm(here=here, session=found) if _may_end(here, found) else None),
        status=refused.status if refused else 200,
    )  # fmt: skip


def _may_end(here: Here, found: Session) -> bool:
    """Tell whether this person may say when the session ended: who entered it, or a coordinator."""
    is_own = found.entered_by_id == here.actor.person_id
    is_open = found.ended_at is None and found.voided_at is None
    return is_open and here.actor.may("record_work") and (is_own or here.actor.may("amend_anyones"))


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
