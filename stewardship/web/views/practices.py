"""What is published about a day's work: least ages, topics of a briefing, numbers to call, times to report in."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.web.access import Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms.practices import OfPracticeForm, PracticeForm
from stewardship.workdays.clocks import practices_of
from stewardship.workdays.models import Practice, PracticeKind

MAY = "manage_catalog"

ACTS = {
    "follow": "From now on the group goes by it.",
    "leave": "From now on the group does not go by it.",
    "retire": "It is out of use. What was recorded with it stays.",
    "reinstate": "It is in use again.",
}
"""Act in an address -> what is said once it is done."""


@page("read")
def practices(request: HttpRequest, here: Here) -> HttpResponse:
    """List them by kind, each with its source and whether the group goes by it."""
    found = practices_of(here.group.id)
    kinds = [(kind.label, [each for each in found if each.what == kind]) for kind in PracticeKind]
    retired = Practice.objects.filter(group_id=here.group.id, retired_at__isnull=False).order_by("title", "id")
    return show(request, "practices", kinds=kinds, retired=list(retired))


@page(MAY, "GET", "POST")
def new_practice(request: HttpRequest, here: Here) -> HttpResponse:
    """Enter one of the group's own."""
    form = PracticeForm(request.POST if request.method == "POST" else None, here=here)
    if form.is_bound and performed(form, here) is not None:
        messages.success(request, "It is on record, and the group goes by it.")
        return redirect("practices")
    return show(request, "new_practice", form=form, status=form.status)


@page(MAY, "POST")
def act_on_practice(request: HttpRequest, here: Here, practice_id: UUID, act: str) -> HttpResponse:
    """Go by one or not, take it out of use or back."""
    found = Practice.objects.filter(group_id=here.group.id, id=practice_id).first()
    if found is None or act not in ACTS:
        raise Http404
    if performed(OfPracticeForm(request.POST, here=here, practice=found, act=act), here) is not None:
        messages.success(request, ACTS[act])
    return redirect("practices")
