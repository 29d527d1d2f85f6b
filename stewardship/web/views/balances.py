"""Whether the books balance: what was found last, and finding out anew."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.reports.services import reconciliations
from stewardship.web.access import Here, page, show
from stewardship.web.queries import balances


@page(reconciliations.MAY)
def reconciliation(request: HttpRequest, here: Here) -> HttpResponse:
    """Show what the latest reconciliation found."""
    found, is_under_way = balances.latest_found(here), balances.is_under_way(here)
    return show(request, "reconciliation", found=found, is_under_way=is_under_way)


@page(reconciliations.MAY, "POST")
def reconcile(request: HttpRequest, here: Here) -> HttpResponse:
    """Ask for a reconciliation."""
    reconciliations.ask_now(here.actor, here.at)
    return redirect("reconciliation")
