"""Credentials: one's own, those of a member for coordinators, and the kinds that they are of."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.credentials.models import Credential, CredentialType
from stewardship.web.access import Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms.base import ActForm
from stewardship.web.forms.credentials import (
    AmendCredentialForm,
    CredentialForm,
    KindForm,
    PlainCredentialForm,
    VoidCredentialForm,
)
from stewardship.web.queries.credentials import held_by, types_listed
from stewardship.web.views.people import member_of

PLAIN = "plain"
"""Stands in an address for a credential of no kind on record."""


@page("read")
def my_credentials(request: HttpRequest, here: Here) -> HttpResponse:
    """Show what I hold, when it ends, what it lets me do and what not."""
    return show(request, "my_credentials", held=held_by(here, here.member.id))


@page("manage_credentials")
def credentials(request: HttpRequest, here: Here, member_id: UUID) -> HttpResponse:
    """Show what a member holds, and which kinds there are to enter."""
    member = member_of(here, member_id)
    kinds = [kind for kind in types_listed(here) if not kind.retired_at]
    return show(request, "credentials", member=member, held=held_by(here, member.id), kinds=kinds)


@page("manage_credentials", "GET", "POST")
def new_credential(request: HttpRequest, here: Here, member_id: UUID, kind: str) -> HttpResponse:
    """Enter a credential of a member."""
    member, found = member_of(here, member_id), _kind(here, kind)
    form_class = CredentialForm if found else PlainCredentialForm
    form = form_class(request.POST or None, here=here, kind=found, member_id=member.id)
    done = performed(form, here) if form.is_bound else None
    if done is None:
        return show(request, "credential_form", form=form, member=member, kind=found, status=form.status)
    messages.success(request, "The credential is recorded.")
    return redirect("credentials", member_id=member.id)


@page("manage_credentials", "GET", "POST")
def amend_credential(request: HttpRequest, here: Here, credential_id: UUID) -> HttpResponse:
    """Correct a credential."""
    found = _credential(here, credential_id)
    form = AmendCredentialForm(
        request.POST or None, here=here, kind=found.type, member_id=found.holder_id, credential=found
    )  # fmt: skip
    return _acted(request, here, found, form, "The credential is corrected. What was judged by it keeps its marks.")


@page("manage_credentials", "GET", "POST")
def void_credential(request: HttpRequest, here: Here, credential_id: UUID) -> HttpResponse:
    """Say that a credential was entered by mistake."""
    found = _credential(here, credential_id)
    form = VoidCredentialForm(request.POST or None, here=here, credential=found)
    return _acted(request, here, found, form, "The credential is voided: it counts for nothing.")


@page("manage_credentials")
def kinds(request: HttpRequest, here: Here) -> HttpResponse:
    """List the kinds of credentials with their rules and sources."""
    return show(request, "kinds", kinds=types_listed(here))


@page("manage_credentials", "GET", "POST")
def new_kind(request: HttpRequest, here: Here) -> HttpResponse:
    """Enter a kind of credential."""
    form = KindForm(request.POST or None, here=here)
    done = performed(form, here) if form.is_bound else None
    if done is None:
        return show(request, "new_kind", form=form, status=form.status)
    messages.success(request, "The kind is recorded.")
    return redirect("kinds")


def _acted(request: HttpRequest, here: Here, found: Credential, form: ActForm, said: str) -> HttpResponse:
    done = performed(form, here) if form.is_bound else None
    if done is None:
        return show(
            request, "credential_form", form=form, member=found.holder, kind=found.type, credential=found,
            status=form.status,
        )  # fmt: skip
    messages.success(request, said)
    return redirect("credentials", member_id=found.holder_id)


def _kind(here: Here, kind: str) -> CredentialType | None:
    """Return the kind that an address names; None for a credential without one."""
    if kind == PLAIN:
        return None
    try:
        found = CredentialType.objects.filter(group_id=here.group.id, id=UUID(kind), retired_at=None).first()
    except ValueError as error:
        raise Http404 from error
    if found is None:
        raise Http404
    return found


def _credential(here: Here, credential_id: UUID) -> Credential:
    told = Credential.objects.select_related("holder", "type")
    found = told.filter(group_id=here.group.id, id=credential_id, voided_at=None).first()
    if found is None:
        raise Http404
    return found
