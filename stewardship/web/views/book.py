"""Whether the record book can be proved: what was found last, and finding out anew, against a head that was kept."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.jobs.models import UNFINISHED, Job
from stewardship.sync import proving
from stewardship.web.access import Here, page, show
from stewardship.web.forms.book import HeadForm


@page(proving.MAY)
def book(request: HttpRequest, here: Here) -> HttpResponse:
    """Show what the latest verification found, and the head that is to be kept."""
    return _shown(request, here, HeadForm())


@page(proving.MAY, "POST")
def verify(request: HttpRequest, here: Here) -> HttpResponse:
    """Ask for a verification."""
    form = HeadForm(request.POST)
    if not form.is_valid():
        return _shown(request, here, form, 400)
    proving.ask_now(here.actor, form.remembered(), here.at)
    messages.success(request, "The book is being read. This page shows what was found when it is done.")
    return redirect("book")


def _shown(request: HttpRequest, here: Here, form: HeadForm, status: int = 200) -> HttpResponse:
    under_way = Job.objects.filter(group_id=here.group.id, kind=proving.KIND, state__in=UNFINISHED).exists()
    return show(request, "book", found=proving.latest(here.actor), is_under_way=under_way, form=form, status=status)
