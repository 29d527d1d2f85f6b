"""The private addresses at which one's own calendar reads the work days."""

from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from stewardship.errors import RuleViolation
from stewardship.web.access import Here, page, show
from stewardship.web.forms.base import speak_plainly
from stewardship.workdays.feeds import addresses
from stewardship.workdays.models import CalendarFeed
from stewardship.workdays.models.feeds import Scope


class NewFeedForm(forms.Form):
    """Which days the calendar is to show."""

    scope = forms.ChoiceField(
        label="Which days", choices=Scope.choices, widget=forms.RadioSelect, initial=Scope.OWN, required=True
    )


@page("read", "GET", "POST")
def calendars(request: HttpRequest, here: Here) -> HttpResponse:
    """List one's calendar addresses, and make one: it is shown in this answer and never again."""
    form = NewFeedForm(request.POST if request.method == "POST" else None)
    speak_plainly(form)
    if not form.is_bound:
        return _shown(request, here, form)
    if not form.is_valid():
        return _shown(request, here, form, status=400)
    try:
        feed, token = addresses.make(here.member, form.cleaned_data["scope"], at=here.at)
    except RuleViolation as refusal:
        form.add_error(None, str(refusal))
        return _shown(request, here, form, status=409)
    return _shown(request, here, NewFeedForm(), made=_address(request, feed, token))


@page("read", "POST")
def renew(request: HttpRequest, here: Here, feed_id: UUID) -> HttpResponse:
    """Replace an address that may have got into other hands."""
    feed = _own(here, feed_id)
    token = addresses.renew(feed, at=here.at)
    return _shown(request, here, NewFeedForm(), made=_address(request, feed, token), is_renewed=True)


@page("read", "POST")
def end(request: HttpRequest, here: Here, feed_id: UUID) -> HttpResponse:
    """End an address."""
    addresses.end(_own(here, feed_id), at=here.at)
    messages.success(request, "The address is ended: no calendar reads anything there any more.")
    return redirect("calendars")


def _own(here: Here, feed_id: UUID) -> CalendarFeed:
    found = addresses.of(here.member).filter(id=feed_id).first()
    if found is None:
        raise Http404
    return found


def _address(request: HttpRequest, feed: CalendarFeed, token: str) -> str:
    return f"{request.build_absolute_uri(reverse('work-days-ics', args=[feed.group_id]))}?token={token}"


def _shown(
    request: HttpRequest, here: Here, form: forms.Form, *, made: str = "", is_renewed: bool = False, status: int = 200
) -> HttpResponse:
    feeds = list(addresses.of(here.member))
    response = show(request, "calendars", form=form, feeds=feeds, made=made, is_renewed=is_renewed, status=status)
    if made:
        response["Cache-Control"] = "no-store"
    return response
