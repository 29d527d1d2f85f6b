"""Work days: the list, one on one screen, and everything that is done on it."""

from collections.abc import Callable, Sequence
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.sync.perform import Done
from stewardship.web.access import Here, page, show
from stewardship.web.acts import marks_of, performed
from stewardship.web.forms import days as forms
from stewardship.web.forms.base import ActForm
from stewardship.web.forms.plans import PostponeForm
from stewardship.web.queries.days import day_shown, days_listed
from stewardship.workdays.models import Attendance, SignUp, WorkDay
from stewardship.workdays.states import PEOPLE_WANTED

A_PAGE = 40
"""Work days on one page of the list."""


@page("read")
def work_days(request: HttpRequest, here: Here) -> HttpResponse:
    """List the work days: those to come, then those that were."""
    days = days_listed(here)
    past = Paginator(days.filter(on_date__lt=here.today), A_PAGE).get_page(request.GET.get("page"))
    ahead = list(days.filter(on_date__gte=here.today).order_by("on_date", "id")) if past.number == 1 else []
    return show(request, "work_days", ahead=ahead, past=past)


@page("read")
def work_day(request: HttpRequest, here: Here, day_id: UUID) -> HttpResponse:
    """Show one day on one screen."""
    return _shown(request, here, day_of(here, day_id))


FormOf = Callable[..., ActForm]
Said = str | Callable[[list[Done]], str]
"""What is said once something is done."""

MOVES: dict[str, tuple[FormOf, str]] = {
    "open": (forms.move("open"), "The day is open: people can sign up."),
    "confirm": (forms.move("confirm"), "The day is confirmed."),
    "without-herbicide": (forms.WithoutHerbicideForm, "The day is held without herbicide."),
    "stop": (forms.StopForm, "The day is stopped early. What was done until then counts."),
    "finish": (forms.move("finish"), "The day is done. Close it once everybody has checked out."),
    "close": (forms.CloseForm, "The day is closed."),
    "postpone": (PostponeForm, "The day is postponed. Who signed up is told of the new date."),
    "cancel": (forms.CancelForm, "The day is cancelled."),
}
"""Act in an address -> its form and what is said once it is done."""


@page("manage_work_days", "POST")
def move(request: HttpRequest, here: Here, day_id: UUID, act: str) -> HttpResponse:
    """Move a day on: open, confirm, hold it without herbicide, stop, finish, close, postpone, cancel."""
    if act not in MOVES:
        raise Http404
    day = day_of(here, day_id)
    kind, said = MOVES[act]
    return _done_on(request, here, day, act, kind(request.POST, here=here, day=day), said)


@page("manage_work_days", "POST")
def add_duty(request: HttpRequest, here: Here, day_id: UUID) -> HttpResponse:
    """Lay out another duty on a day."""
    day = day_of(here, day_id)
    form = forms.DutyForm(request.POST, here=here, day=day)
    return _done_on(request, here, day, "duty", form, "The duty is laid out.")


@page("manage_work_days", "POST")
def amend_duty(request: HttpRequest, here: Here, day_id: UUID) -> HttpResponse:
    """Change how many people a duty wants, or their age; who waits moves up."""
    day = day_of(here, day_id)
    form = forms.AmendDutyForm(request.POST, here=here, day=day)
    return _done_on(
        request, here, day, "amend-duty", form, "The duty is changed. Whoever waited and has a place now is told."
    )


@page("sign_up", "POST")
def sign_up(request: HttpRequest, here: Here, day_id: UUID) -> HttpResponse:
    """Sign oneself up for a duty, or, as a coordinator, somebody."""
    day = day_of(here, day_id)
    form = forms.SignUpForm(request.POST, here=here, day=day)
    return _done_on(request, here, day, "sign-up", form, _signed_up)


@page("sign_up", "POST")
def withdraw(request: HttpRequest, here: Here, day_id: UUID, sign_up_id: UUID) -> HttpResponse:
    """Take a sign-up back."""
    day = day_of(here, day_id)
    found = _of_day(SignUp, day, sign_up_id)
    form = forms.WithdrawForm(request.POST, here=here, sign_up=found)
    return _done_on(request, here, day, "withdraw", form, "Withdrawn.")


@page("record_work", "POST")
def check_in(request: HttpRequest, here: Here, day_id: UUID) -> HttpResponse:
    """Record that somebody came."""
    day = day_of(here, day_id)
    form = forms.CheckInForm(request.POST, here=here, day=day)
    return _done_on(request, here, day, "check-in", form, "Checked in.")


@page("record_work", "POST")
def check_out(request: HttpRequest, here: Here, day_id: UUID, attendance_id: UUID) -> HttpResponse:
    """Record that somebody left."""
    day = day_of(here, day_id)
    found = _of_day(Attendance, day, attendance_id)
    form = forms.CheckOutForm(request.POST, here=here, day=day, attendance=found)
    return _done_on(request, here, day, "check-out", form, "Checked out.")


def _done_on(request: HttpRequest, here: Here, day: WorkDay, act: str, form: ActForm, said: Said) -> HttpResponse:
    """Perform a form of the day's screen: go back to it, or show it with the refusal."""
    done = performed(form, here)
    if done is None:
        return _shown(request, here, day, refused=form, act=act)
    messages.success(request, said if isinstance(said, str) else said(done))
    _tell_marks(request, done)
    return redirect("work_day", day_id=day.id)


def _signed_up(done: list[Done]) -> str:
    """Return what is said after a sign-up: that it takes a place, or that it waits for one."""
    waits = isinstance(made := done[0].record, SignUp) and made.is_waiting
    return "No place is free just now: on the waiting list. Whoever moves up is told." if waits else "Signed up."


def _shown(
    request: HttpRequest, here: Here, day: WorkDay, *, refused: ActForm | None = None, act: str = ""
) -> HttpResponse:
    shown = day_shown(here, day)
    kept: dict[str, Any] = {act: refused} if refused else {}
    asked = {
        "stop": forms.StopForm,
        "postpone": PostponeForm,
        "cancel": forms.CancelForm,
        "duty": forms.DutyForm,
        "amend-duty": forms.AmendDutyForm,
        "sign-up": forms.SignUpForm,
        "check-in": forms.CheckInForm,
    }
    made = {name.replace("-", "_"): kept.get(name) or kind(here=here, day=day) for name, kind in asked.items()}
    return show(
        request, "work_day", status=refused.status if refused else 200, shown=shown, day=day, zone=day.zone(),
        forms=made, outs=_outs(here, day, shown.attendances, kept.get("check-out")), refused=refused, act=act,
        people_wanted=PEOPLE_WANTED, is_today=made["check_in"].is_today(),
    )  # fmt: skip


def _outs(here: Here, day: WorkDay, came: Sequence[Attendance], kept: Any) -> list[tuple[Attendance, ActForm | None]]:
    """Return who came, each with the form to check out where this person may do that."""
    own = {here.member.id}
    pairs = []
    for attendance in came:
        is_own = attendance.member_id in own or attendance.entered_by_id == here.actor.person_id
        may = here.actor.may("record_work") and (is_own or here.actor.may("amend_anyones"))
        form = None
        if may and attendance.out_at is None:
            is_kept = kept is not None and kept.attendance.id == attendance.id
            prefix = f"out-{attendance.id.hex[-6:]}"
            form = kept if is_kept else forms.CheckOutForm(
                here=here, day=day, attendance=attendance, auto_id=f"id_{prefix}_%s"
            )  # fmt: skip
        pairs.append((attendance, form))
    return pairs


def _tell_marks(request: HttpRequest, done: list[Done]) -> None:
    for mark in marks_of(done):
        messages.warning(request, f"Recorded and marked: {mark['detail']}")


def day_of(here: Here, day_id: UUID) -> WorkDay:
    """Return the group's work day; another group's does not exist here."""
    found = (
        WorkDay.objects.select_related("property", "leader", "task").filter(group_id=here.group.id, id=day_id).first()
    )
    if found is None:
        raise Http404
    return found


def _of_day(model: Any, day: WorkDay, id: UUID) -> Any:
    found = model.objects.filter(group_id=day.group_id, work_day=day, id=id).first()
    if found is None:
        raise Http404
    return found
