"""Who is missing on the days to come, and what everybody's credentials are worth on a date."""

from datetime import date, timedelta
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from stewardship.credentials.queries import coverage
from stewardship.journal.book import Entry
from stewardship.web.access import Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms import base
from stewardship.web.forms.base import ActForm, speak_plainly
from stewardship.web.forms.days import SignUpForm
from stewardship.web.views.days import day_of
from stewardship.workdays.coverage import DayCovered, coverage_of_days, lapsing

AHEAD = timedelta(days=60)
LONGEST = timedelta(days=366)


class PeriodForm(forms.Form):
    """From when to when."""

    first_on = base.calendar("From")
    last_on = base.calendar("To")

    def clean(self) -> dict[str, Any]:
        """Refuse a period that ends before it begins, or is longer than a year."""
        told = super().clean() or self.cleaned_data
        first_on, last_on = told.get("first_on"), told.get("last_on")
        if first_on and last_on and not first_on <= last_on <= first_on + LONGEST:
            self.add_error("last_on", "Choose a date on or after the first, and at most a year later.")
        return told


class DateForm(forms.Form):
    """A date."""

    on = base.calendar("Date")


@page("manage_work_days")
def who_is_missing(request: HttpRequest, here: Here) -> HttpResponse:
    """Tell day by day which duties lack people who are good for them, and who could be asked."""
    return _shown(request, here)


@page("manage_work_days", "POST")
def sign_up(request: HttpRequest, here: Here, day_id: UUID) -> HttpResponse:
    """Sign somebody up who could be asked, and come back to the list."""
    day = day_of(here, day_id)
    form = SignUpForm(request.POST, here=here, day=day)
    done = performed(form, here)
    if done is None:
        return _shown(request, here, refused=form)
    name = next(name for id, name in form.fields["member"].choices if id == form.cleaned_data["member"])
    messages.success(request, f"{name} is signed up for {day.title}. They were not asked here: tell them.")
    period = {name: request.POST[name] for name in ("first_on", "last_on") if request.POST.get(name)}
    return redirect(f"{reverse('who_is_missing')}?{urlencode(period)}")


@page("manage_credentials")
def qualified(request: HttpRequest, here: Here) -> HttpResponse:
    """Tell what everybody's credentials are worth on a date."""
    form = DateForm(request.GET if "on" in request.GET else None, initial={"on": here.today})
    speak_plainly(form)
    on = here.today
    if form.is_bound:
        on = form.cleaned_data["on"] if form.is_valid() else None
    people = coverage(here.group.id, on) if on else []
    return show(request, "qualified", form=form, on=on, people=people, status=200 if on else 400)


def _shown(request: HttpRequest, here: Here, *, refused: ActForm | None = None) -> HttpResponse:
    asked = request.POST if refused else request.GET
    begun = {"first_on": here.today, "last_on": here.today + AHEAD}
    form = PeriodForm(asked if {"first_on", "last_on"} & set(asked) else None, initial=begun)
    speak_plainly(form)
    is_right = not form.is_bound or form.is_valid()
    period: dict[str, date] = form.cleaned_data if form.is_bound and is_right else begun
    days = _days(here, period) if is_right else []
    status = refused.status if refused else 200 if is_right else 400
    return show(
        request, "who_is_missing", form=form, period=period, status=status, refused=refused,
        short=[each for each in days if each.is_short], complete=[each for each in days if not each.is_short],
        lapses=lapsing(days), is_right=is_right,
    )  # fmt: skip


def _days(here: Here, period: dict[str, date]) -> list[DayCovered]:
    entry = Entry(group_id=here.group.id, by=here.actor, at=here.at)
    return coverage_of_days(entry, period["first_on"], period["last_on"])
