"""Batches: listed, shown with what is left and whether they balance, measured, closed, tagged."""

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.catalog.models import Product
from stewardship.journal.models import GROUP
from stewardship.treatments.models import Batch, Leftover, StockMovement
from stewardship.treatments.queries.balances import balance_of
from stewardship.treatments.queries.tags import tag_of, tag_of_leftover
from stewardship.web import words
from stewardship.web.access import Here, page, show
from stewardship.web.acts import marks_of, performed
from stewardship.web.forms.base import ActForm
from stewardship.web.forms.batches import BatchForm, CloseForm, LeftoverForm
from stewardship.web.forms.papers import PhotoForm
from stewardship.web.handing_in import handed_in
from stewardship.web.queries.days import lines_of
from stewardship.web.queries.papers import files_of


@page("read")
def batches(request: HttpRequest, here: Here) -> HttpResponse:
    """List the batches, latest first, each with what is left."""
    found = Batch.objects.filter(group_id=here.group.id, voided_at=None).select_related("mixed_by")
    return show(request, "batches", batches=list(found.order_by("-mixed_at", "-id")[:60]))


@page("read")
def batch(request: HttpRequest, here: Here, batch_id: UUID) -> HttpResponse:
    """Show one batch: what is in it, what was used of it, what is left, whether it balances."""
    return _shown(request, here, _batch(here, batch_id))


@page("record_work", "POST")
def measure(request: HttpRequest, here: Here, batch_id: UUID) -> HttpResponse:
    """Record what was measured as left."""
    found = _batch(here, batch_id)
    return _done(request, here, found, "left", LeftoverForm(request.POST, here=here, batch=found), "It is recorded.")


@page("record_work", "POST")
def close(request: HttpRequest, here: Here, batch_id: UUID) -> HttpResponse:
    """Close a batch, with a reason where it does not balance."""
    found = _batch(here, batch_id)
    return _done(request, here, found, "close", CloseForm(request.POST, here=here, batch=found), "The batch is closed.")


@page("hand_in_files", "POST")
def add_photo(request: HttpRequest, here: Here, batch_id: UUID) -> HttpResponse:
    """Hand in a picture of a batch's tag; the whole group sees it."""
    found, form = _batch(here, batch_id), PhotoForm(request.POST, request.FILES, here=here)
    if not handed_in(request, here, form, found, "photos", GROUP):
        return _shown(request, here, found, photo=form, status=form.status)
    messages.success(request, "The photo is kept, for the whole group.")
    return redirect("batch", batch_id=found.id)


@page("read")
def batch_tag(request: HttpRequest, here: Here, batch_id: UUID) -> HttpResponse:
    """Show the tag of a batch, to print."""
    return show(request, "tag", tag=tag_of(_batch(here, batch_id)))


@page("read")
def leftover_tag(request: HttpRequest, here: Here, leftover_id: UUID) -> HttpResponse:
    """Show the tag of a leftover, to print; of one of unknown contents, that it is not to be used."""
    found = Leftover.objects.filter(group_id=here.group.id, id=leftover_id).select_related("batch__mixed_by").first()
    if found is None:
        raise Http404
    return show(request, "tag", tag=tag_of_leftover(found))


def _batch(here: Here, batch_id: UUID) -> Batch:
    """Return the group's batch; another group's does not exist here."""
    found = Batch.objects.filter(group_id=here.group.id, id=batch_id).select_related("mixed_by", "work_day").first()
    if found is None:
        raise Http404
    return found


def _done(request: HttpRequest, here: Here, found: Batch, name: str, form: BatchForm, told: str) -> HttpResponse:
    """Perform an act on a batch; refused, the batch is shown with what was typed."""
    done = performed(form, here)
    if done is None:
        return _shown(request, here, found, **{name: form}, status=form.status)
    messages.success(request, told)
    for mark in marks_of(done) if name == "left" else ():
        messages.warning(request, f"Recorded and marked: {mark['detail']}")
    return redirect("batch", batch_id=found.id)


def _shown(request: HttpRequest, here: Here, found: Batch, status: int = 200, **forms: ActForm) -> HttpResponse:
    products = Product.objects.filter(group_id=here.group.id, id__in=[part["product"] for part in found.parts])
    left = Leftover.objects.filter(group_id=here.group.id, batch=found, voided_at=None).order_by("measured_at", "id")
    balance = balance_of(found)
    movements = StockMovement.objects.filter(group_id=here.group.id, batch=found, voided_at=None)
    return show(
        request, "batch", status=status, batch=found, products=list(products),
        lines=list(lines_of(here).filter(batch=found)), leftovers=list(left), balance=balance,
        taken=_taken(balance, movements), files=files_of(here, found.photos),
        **_forms(here, found, forms),
    )  # fmt: skip


def _taken(
    balance: dict[str, Any], movements: Iterable[StockMovement]
) -> list[tuple[dict[str, Any], StockMovement | None]]:
    """Return what drew on a batch beside its lines; where it was disposed of, lost or spilled, with what was said."""
    moved = {str(movement.id): movement for movement in movements}
    drawn = [each for each in balance["statements"] if each["what"] in words.TAKEN]
    return [(each, moved.get(each["id"])) for each in drawn]


def _forms(here: Here, found: Batch, sent: dict[str, ActForm]) -> dict[str, Any]:
    """Return the forms of the acts that this person has on a batch."""
    if found.voided_at or not here.actor.may("record_work"):
        return {"refused": next(iter(sent.values()), None)}
    forms: dict[str, Any] = {"left_form": sent.get("left") or LeftoverForm(here=here, batch=found)}
    forms["photo_form"] = sent.pop("photo", None) or PhotoForm(here=here)
    is_own = found.entered_by_id == here.actor.person_id
    if found.closed_at is None and (is_own or here.actor.may("amend_anyones")):
        forms["close_form"] = sent.get("close") or CloseForm(here=here, batch=found)
    return forms | {"refused": next(iter(sent.values()), None)}
