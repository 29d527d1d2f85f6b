"""The first page of each person: what needs a coordinator, a volunteer's days, the board's reports."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.notices.queries import to_phone, unread
from stewardship.web.access import Here, page, show
from stewardship.web.queries import homes, records
from stewardship.web.queries.balances import latest_found
from stewardship.web.queries.beginning import BEGINNING, SKIPPED, is_new
from stewardship.web.queries.keeping import incidents_told, overdue
from stewardship.web.queries.reports import report_table
from stewardship.workdays.states import PEOPLE_WANTED

FEW = 3
"""What is new on the home page; the rest stands under What I was told."""

MOST_COUNTED = 100


@page("read")
def home(request: HttpRequest, here: Here) -> HttpResponse:
    """Show the home of the person's role."""
    return HOMES[here.actor.role](request, here)


def _coordinator(request: HttpRequest, here: Here) -> HttpResponse:
    if is_new(here) and SKIPPED not in request.session:
        return redirect("begin")
    running, days = records.running(here), homes.ahead(here)
    signs, incidents = overdue(here)
    return show(
        request, "home_coordinator", short=homes.short_of_people(days), lapses=homes.lapses(here, days),
        beginning=request.session.get(BEGINNING),
        not_closed=homes.not_closed(here), coming=homes.coming(here),
        signs=signs, incidents=incidents,
        running={"records": running[: records.MOST], "more": len(running[records.MOST :])},
        balances=latest_found(here), to_phone=to_phone(here.group.id, here.at), **_unread(here),
    )  # fmt: skip


def _volunteer(request: HttpRequest, here: Here) -> HttpResponse:
    coming = homes.coming(here, among=PEOPLE_WANTED)
    mine = [each for each in coming if each.mine]
    return show(
        request, "home_volunteer", mine=mine, others=[each for each in coming if not each.mine],
        credentials=homes.my_credentials(here), **_unread(here),
    )  # fmt: skip


def _reviewer(request: HttpRequest, here: Here) -> HttpResponse:
    return show(
        request, "home_reviewer", table=report_table(here), incidents=incidents_told(here), **_unread(here),
    )  # fmt: skip


def _unread(here: Here) -> dict[str, Any]:
    """Return the few newest things that the person has not seen, and how many more there are."""
    new = list(unread(here.member, here.at)[:MOST_COUNTED])
    return {"unread": new[:FEW], "more_unread": len(new[FEW:])}


HOMES = {"coordinator": _coordinator, "volunteer": _volunteer, "reviewer": _reviewer}
