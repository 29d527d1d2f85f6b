"""Stock for whoever keeps it: lots with what is left of them, each lot's ledger; entered, counted, moved."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.treatments.models import Lot
from stewardship.treatments.queries.stock import ledger, stock
from stewardship.web.access import Here, page, show
from stewardship.web.acts import marks_of, performed
from stewardship.web.forms.stock import CountForm, LotForm, MoveForm, OfLotForm


@page("manage_stock")
def stock_kept(request: HttpRequest, here: Here) -> HttpResponse:
    """List the products with their lots, the oldest first; what waits for a count stands above."""
    found = stock(here.group.id, here.today)
    to_count = [each for product in found for each in product.lots if each.to_count]
    return show(request, "stock", stock=found, to_count=to_count)


@page("manage_stock", "GET", "POST")
def new_lot(request: HttpRequest, here: Here) -> HttpResponse:
    """Enter a lot."""
    form = LotForm(request.POST if request.method == "POST" else None, here=here)
    done = performed(form, here) if form.is_bound else None
    if done is None:
        return show(request, "new_lot", form=form, status=form.status)
    return _told(request, done, done[0].result["id"], "The lot is recorded.")


@page("manage_stock")
def lot(request: HttpRequest, here: Here, lot_id: UUID) -> HttpResponse:
    """Show a lot and its ledger: what it held at first, everything that changed it, what is left."""
    return _shown(request, here, _lot(here, lot_id))


@page("manage_stock", "POST")
def count(request: HttpRequest, here: Here, lot_id: UUID) -> HttpResponse:
    """Record what was counted of a lot."""
    found = _lot(here, lot_id)
    return _done(request, here, found, CountForm(request.POST, here=here, lot=found), "The count is recorded.")


@page("manage_stock", "POST")
def move(request: HttpRequest, here: Here, lot_id: UUID) -> HttpResponse:
    """Record what came, went or was lost of a lot."""
    found = _lot(here, lot_id)
    return _done(request, here, found, MoveForm(request.POST, here=here, lot=found), "It is recorded.")


def _lot(here: Here, lot_id: UUID) -> Lot:
    """Return the group's lot; another group's does not exist here."""
    found = Lot.objects.select_related("product").filter(group_id=here.group.id, id=lot_id).first()
    if found is None:
        raise Http404
    return found


def _done(request: HttpRequest, here: Here, found: Lot, form: OfLotForm, said: str) -> HttpResponse:
    """Perform an act on a lot; refused, the lot is shown with what was typed."""
    done = performed(form, here)
    if done is None:
        return _shown(request, here, found, refused=form)
    return _told(request, done, found.id, said)


def _told(request: HttpRequest, done: list[Any], lot_id: Any, said: str) -> HttpResponse:
    messages.success(request, said)
    for mark in marks_of(done):
        messages.warning(request, f"Recorded and marked: {mark['detail']}")
    return redirect("lot", lot_id=lot_id)


def _shown(request: HttpRequest, here: Here, found: Lot, refused: OfLotForm | None = None) -> HttpResponse:
    forms = (
        {} if found.voided_at else {f"{kind.name}_form": kind(here=here, lot=found) for kind in (CountForm, MoveForm)}
    )
    if refused and forms:
        forms[f"{refused.name}_form"] = refused
    return show(
        request, "lot", lot=found, ledger=ledger(found), standing=_standing(here, found), products=[found.product],
        refused=refused, status=refused.status if refused else 200, **forms,
    )  # fmt: skip


def _standing(here: Here, found: Lot) -> Any:
    """Return the lot as it stands in the stock; None once it is voided."""
    products = stock(here.group.id, here.today, product_id=found.product_id)
    return next((each for product in products for each in product.lots if each.lot == found), None)
