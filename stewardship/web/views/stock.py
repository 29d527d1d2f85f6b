"""Stock for whoever keeps it: lots with what is left of them, and each lot's ledger."""

from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse

from stewardship.treatments.models import Lot
from stewardship.treatments.queries.stock import ledger, stock
from stewardship.web.access import Here, page, show
from stewardship.web.queries import homes


@page("manage_stock")
def stock_kept(request: HttpRequest, here: Here) -> HttpResponse:
    """List the products with their lots, the oldest first; what waits for a count stands above."""
    found = stock(here.group.id, here.today)
    to_count = [each for product in found for each in product.lots if each.to_count]
    return show(request, "stock", stock=found, to_count=to_count, held=homes.held(here))


@page("manage_stock")
def lot(request: HttpRequest, here: Here, lot_id: UUID) -> HttpResponse:
    """Show a lot and its ledger: what it held at first, everything that changed it, what is left."""
    found = Lot.objects.select_related("product").filter(group_id=here.group.id, id=lot_id).first()
    if found is None:
        raise Http404
    return show(
        request, "lot", lot=found, ledger=ledger(found), standing=_standing(here, found), products=[found.product]
    )


def _standing(here: Here, found: Lot) -> Any:
    """Return the lot as it stands in the stock; None once it is voided."""
    products = stock(here.group.id, here.today, product_id=found.product_id)
    return next((each for product in products for each in product.lots if each.lot == found), None)
