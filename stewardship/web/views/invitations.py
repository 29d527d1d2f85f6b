"""Invitations: a coordinator sends them; who got the letter opens the link and accepts."""

from http import HTTPStatus
from typing import Any
from uuid import UUID

from allauth.account.utils import perform_login
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.cache import patch_cache_control
from django.views.decorators.http import require_http_methods

from stewardship.accounts import joining, secrets
from stewardship.accounts.models import Invitation, Person
from stewardship.accounts.queries import person_of
from stewardship.errors import RuleViolation
from stewardship.web.access import CHOSEN, Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms.joining import JoinForm
from stewardship.web.forms.people import InviteForm, OfInvitationForm, ResendForm, WithdrawForm

ACTS: dict[str, tuple[type[OfInvitationForm], str]] = {
    "resend": (ResendForm, "A new letter is on its way. The link in the former one has ended."),
    "withdraw": (WithdrawForm, "Withdrawn: the link in the letter has ended."),
}


@page("manage_members", "GET", "POST")
def invite(request: HttpRequest, here: Here) -> HttpResponse:
    """Invite somebody by letter."""
    form = InviteForm(request.POST if request.method == "POST" else None, here=here)
    done = performed(form, here) if form.is_bound else None
    if done is None:
        return show(request, "invite", form=form, status=form.status)
    messages.success(request, "The letter is on its way. Its link opens for a week.")
    return redirect("people")


@page("manage_members", "POST")
def act(request: HttpRequest, here: Here, invitation_id: UUID, act: str) -> HttpResponse:
    """Send an invitation again, or withdraw it."""
    found = Invitation.objects.filter(group_id=here.group.id, id=invitation_id).first()
    if found is None or act not in ACTS:
        raise Http404
    kind, said = ACTS[act]
    form = kind(request.POST, here=here, invitation=found)
    if performed(form, here) is None:
        messages.error(request, " ".join(str(error) for errors in form.errors.values() for error in errors))
    else:
        messages.success(request, said)
    return redirect("people")


@require_http_methods(["GET", "HEAD", "POST"])
def invitation(request: HttpRequest, secret: str) -> HttpResponse:
    """Show what a link invites to, or accept it. Opening it changes nothing: mail programs open links too."""
    at = timezone.now()
    found = secrets.opened(secret, at=at)
    if found is None:
        return _private(show(request, "link_ended", status=HTTPStatus.NOT_FOUND, said=joining.LinkEnded.message))
    if request.method != "POST":
        return _shown(request, found, _form(found, None, request))
    form = _form(found, request.POST, request)
    if not form.is_valid():
        return _shown(request, found, form, status=HTTPStatus.BAD_REQUEST)
    try:
        person, member = joining.accept(secret, by=_signed_in(request), password=form.password(), at=at)
    except joining.LinkEnded as refusal:
        return _private(show(request, "link_ended", status=HTTPStatus.NOT_FOUND, said=str(refusal)))
    except RuleViolation as refusal:
        form.add_error(None, str(refusal))
        return _shown(request, found, form, status=HTTPStatus.CONFLICT)
    return _welcome(request, person, str(member.group_id), found)


def _welcome(request: HttpRequest, person: Person, group: str, found: Invitation) -> HttpResponse:
    """Sign a new person in, and open the group that they joined."""
    signed_in = redirect("home") if request.user.is_authenticated else perform_login(request, person)
    request.session[CHOSEN] = group
    messages.success(request, f"You belong to {found.group.name} now, as {found.role}.")
    return signed_in


def _form(found: Invitation, data: Any, request: HttpRequest) -> JoinForm:
    by = _signed_in(request)
    return JoinForm(data, invitation=found, asks_password=by is None and joining.needs_password(found))


def _shown(request: HttpRequest, found: Invitation, form: JoinForm, status: int = 200) -> HttpResponse:
    by, person = _signed_in(request), person_of(found.email)
    is_other = by is not None and (person is None or person.id != by.id)
    shown = show(
        request, "invitation", invitation=found, form=form, status=status, is_other=is_other,
        sign_in_first=by is None and not form.asks_password, path=request.path,
    )  # fmt: skip
    return _private(shown)


def _signed_in(request: HttpRequest) -> Person | None:
    return request.user if isinstance(request.user, Person) else None


def _private(response: HttpResponse) -> HttpResponse:
    """Keep the link from every cache, and from the pages that one goes to next.

    ``no-referrer`` would make browsers send the form without an origin, and it would be refused.
    """
    response["Referrer-Policy"] = "strict-origin"
    patch_cache_control(response, private=True, no_store=True)
    return response
