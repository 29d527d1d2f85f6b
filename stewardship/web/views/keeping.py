"""What is kept of a work day beside the work: its page, what is entered there, the roster and the emergency sheet."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.places.models import Property
from stewardship.web.access import Here, page, show
from stewardship.web.acts import marks_of, performed
from stewardship.web.forms import keeping as forms
from stewardship.web.forms.base import ActForm
from stewardship.web.forms.emergency import EmergencySheetForm
from stewardship.web.queries.keeping import Kept, kept_of, leads, numbers_of, open_reasons, roster_of
from stewardship.web.views.days import day_of
from stewardship.workdays.models import EmergencySheet, WorkDay

ACTS: dict[str, tuple[Any, str]] = {
    "answer": (forms.AnswerDayForm, "Thank you: that is answered."),
    "briefing": (forms.BriefingForm, "The briefing is on record. Everybody signs their own line."),
    "sign": (forms.SignForm, "Signed."),
    "sheet": (forms.SheetForm, "The line is on record."),
    "weather": (forms.WeatherForm, "The reading is on record."),
    "go-on": (forms.GoOnForm, "The reason is on record."),
    "sign-up": (forms.PostingForm, "The sign is on record."),
    "take-down": (forms.TakeDownForm, "The sign is down."),
    "incident": (forms.IncidentForm, "The report is on record. Coordinators see it on their first page."),
    "answer-incident": (forms.AnswerIncidentForm, "Answered."),
    "settle": (forms.SettleForm, "The estimate is on record, with your name."),
    "admit": (forms.AdmitForm, "Your words are on record."),
}
"""Act in an address -> its form and what is said once it is done."""


@page("read")
def keeping(request: HttpRequest, here: Here, day_id: UUID) -> HttpResponse:
    """Show what is kept of a day beside the work."""
    return _shown(request, here, day_of(here, day_id))


@page("record_work", "POST")
def keep(request: HttpRequest, here: Here, day_id: UUID, act: str) -> HttpResponse:
    """Enter something on that page."""
    if act not in ACTS:
        raise Http404
    day = day_of(here, day_id)
    kind, said = ACTS[act]
    people = {"people": _unsigned(kept_of(here, day))} if act == "sheet" else {}
    form = kind(request.POST, here=here, day=day, **people)
    done = performed(form, here)
    if done is None:
        return _shown(request, here, day, refused=form, act=act)
    messages.success(request, said)
    for mark in marks_of(done):
        messages.warning(request, f"Recorded and marked: {mark['detail']}")
    return redirect("keeping", day_id=day.id)


@page("record_work")
def roster(request: HttpRequest, here: Here, day_id: UUID) -> HttpResponse:
    """Print who comes and whom to call: for coordinators and for the leader of the day, no further."""
    day = day_of(here, day_id)
    if not leads(here, day):
        raise Http404
    return show(
        request, "day_roster", day=day, zone=day.zone(), people=roster_of(here, day), numbers=numbers_of(here),
        sheet=EmergencySheet.objects.filter(group_id=day.group_id, property_id=day.property_id).first(),
    )  # fmt: skip


@page("read")
def emergency_sheet(request: HttpRequest, here: Here, property_id: UUID) -> HttpResponse:
    """Show the emergency sheet of a property, to be printed on one page."""
    place = _place(here, property_id)
    form = EmergencySheetForm(here=here, property=place) if here.may.get("manage_places") else None
    return _sheet(request, here, place, form)


@page("manage_places", "POST")
def write_sheet(request: HttpRequest, here: Here, property_id: UUID) -> HttpResponse:
    """Write or correct the emergency sheet of a property."""
    place = _place(here, property_id)
    form = EmergencySheetForm(request.POST, here=here, property=place)
    if performed(form, here) is None:
        return _sheet(request, here, place, form, refused=form)
    messages.success(request, "The emergency sheet is kept. It goes to every phone with the next hand-over.")
    return redirect("emergency_sheet", property_id=place.id)


def _sheet(
    request: HttpRequest, here: Here, place: Property, form: ActForm | None, refused: ActForm | None = None
) -> HttpResponse:
    sheet = EmergencySheet.objects.filter(group_id=here.group.id, property=place).first()
    return show(
        request, "emergency_sheet", status=refused.status if refused else 200, property=place, sheet=sheet,
        numbers=numbers_of(here), form=form, refused=refused,
    )  # fmt: skip


def _shown(
    request: HttpRequest, here: Here, day: WorkDay, *, refused: ActForm | None = None, act: str = ""
) -> HttpResponse:
    kept = kept_of(here, day)
    asked = {
        "answer": forms.AnswerDayForm, "briefing": forms.BriefingForm, "weather": forms.WeatherForm,
        "sign-up": forms.PostingForm, "incident": forms.IncidentForm, "answer-incident": forms.AnswerIncidentForm,
        "settle": forms.SettleForm, "admit": forms.AdmitForm, "go-on": forms.GoOnForm,
    }  # fmt: skip
    made = {
        name.replace("-", "_"): refused if refused and name == act else kind(here=here, day=day, auto_id=f"{name}_%s")
        for name, kind in asked.items()
    }
    people = _unsigned(kept)
    made["sheet"] = refused if refused and act == "sheet" else forms.SheetForm(here=here, day=day, people=people)
    return show(
        request, "keeping", status=refused.status if refused else 200, day=day, zone=day.zone(), kept=kept,
        forms=made, refused=refused, act=act, reasons=open_reasons(here, day), numbers=numbers_of(here),
        has_ended=day.state in ("closed", "cancelled"),
    )  # fmt: skip


def _unsigned(kept: Kept) -> list[tuple[str, str]]:
    return [(str(m.id), m.display_name) for each in kept.briefings[:1] for m in each.unsigned]


def _place(here: Here, property_id: UUID) -> Property:
    found = Property.objects.filter(group_id=here.group.id, id=property_id).first()
    if found is None:
        raise Http404
    return found
