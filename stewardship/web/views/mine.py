"""My account: what is a person's own, whatever group they work in: how they sign in, sessions, devices, leaving."""

from typing import Any
from uuid import UUID

from allauth.mfa.utils import is_mfa_enabled
from allauth.usersessions.internal.flows.sessions import end_other_sessions, end_sessions
from allauth.usersessions.models import UserSession
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from stewardship.accounts import devices
from stewardship.accounts.models import Device
from stewardship.accounts.queries import memberships
from stewardship.web.access import Here, here_of, page, show
from stewardship.web.acts import performed
from stewardship.web.forms.mine import DeviceForm
from stewardship.web.forms.people import LeaveForm


@login_required
@require_safe
def mine(request: HttpRequest) -> HttpResponse:
    """Show what the person can look at and change about their own account."""
    request.here = here_of(request)  # type: ignore[attr-defined]
    return show(
        request, "my", members=list(memberships(request.user.pk)), second_factor=is_mfa_enabled(_person(request)),
    )  # fmt: skip


@login_required
@require_safe
def sessions(request: HttpRequest) -> HttpResponse:
    """List where the person is signed in, and the devices that act for them."""
    return _sessions(request)


@login_required
@require_POST
def end_session(request: HttpRequest, session_id: int) -> HttpResponse:
    """End one sign-in; ending the one at hand signs out."""
    found = UserSession.objects.filter(user_id=request.user.pk, pk=session_id).first()
    if found is None:
        raise Http404
    end_sessions(request, [found])
    if not request.user.is_authenticated:
        return redirect("account_login")
    messages.success(request, "Ended: whoever uses that browser has to sign in again.")
    return redirect("my_sessions")


@login_required
@require_POST
def end_others(request: HttpRequest) -> HttpResponse:
    """End every sign-in but the one at hand."""
    end_other_sessions(request, _person(request))
    messages.success(request, "Every other sign-in has ended.")
    return redirect("my_sessions")


@login_required
@require_POST
def rename_device(request: HttpRequest, device_id: UUID) -> HttpResponse:
    """Give a device another name."""
    device = _device(request, device_id)
    form = DeviceForm(request.POST, device=device)
    if not form.is_valid():
        return _sessions(request, refused=form)
    devices.rename(device, form.cleaned_data["name"])
    messages.success(request, "Renamed.")
    return redirect("my_sessions")


@login_required
@require_POST
def revoke_device(request: HttpRequest, device_id: UUID) -> HttpResponse:
    """End a device's right to act."""
    devices.revoke(_device(request, device_id), at=timezone.now())
    messages.success(
        request,
        "Revoked: the device no longer reads or acts. What it still sends is kept, for a coordinator to look at.",
    )
    return redirect("my_sessions")


@page("read", "GET", "POST")
def leave(request: HttpRequest, here: Here) -> HttpResponse:
    """Leave the group, after being asked."""
    form = LeaveForm(request.POST if request.method == "POST" else None, here=here, member=here.member)
    if not form.is_bound or performed(form, here) is None:
        return show(request, "leave", form=form, status=form.status)
    messages.success(request, f"You have left {here.group.name}. What you recorded stays.")
    return redirect("groups")


def _sessions(request: HttpRequest, refused: DeviceForm | None = None) -> HttpResponse:
    request.here = here_of(request)  # type: ignore[attr-defined]
    found = sorted(UserSession.objects.purge_and_list(_person(request)), key=lambda each: each.created_at, reverse=True)
    own = devices.owned(_person(request).pk)
    held = [
        refused if refused and refused.device.id == device.id else DeviceForm(device=device)
        for device in own.filter(revoked_at=None).order_by("-created_at", "id")
    ]
    revoked = own.exclude(revoked_at=None).order_by("-revoked_at", "id")
    return show(
        request, "my_sessions", sessions=found, held=held, revoked=revoked, status=400 if refused else 200,
    )  # fmt: skip


def _device(request: HttpRequest, device_id: UUID) -> Device:
    """Return the person's own device; another's does not exist for them."""
    found = devices.owned(_person(request).pk).filter(id=device_id).first()
    if found is None:
        raise Http404
    return found


def _person(request: HttpRequest) -> Any:
    return request.user
