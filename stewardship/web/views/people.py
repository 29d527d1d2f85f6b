"""The people of the group, for whoever manages them: a list, invitations, one person on one page."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.accounts.models import Member
from stewardship.accounts.services.erasing import ERASED
from stewardship.web.access import Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms import people as forms
from stewardship.web.queries.people import people_listed


@page("manage_members")
def people(request: HttpRequest, here: Here) -> HttpResponse:
    """List the members with role and state, the invitations that are out, and who left."""
    return show(request, "people", listed=people_listed(here))


@page("manage_members", "GET", "POST")
def add(request: HttpRequest, here: Here) -> HttpResponse:
    """Take somebody in who works along without an e-mail address."""
    form = forms.AddForm(request.POST if request.method == "POST" else None, here=here)
    done = performed(form, here) if form.is_bound else None
    if done is None:
        return show(request, "add_person", form=form, status=form.status)
    messages.success(request, "Taken in. They can be signed up and checked in by others.")
    return redirect("person", member_id=done[0].result["id"])


@page("manage_members")
def person(request: HttpRequest, here: Here, member_id: UUID) -> HttpResponse:
    """Show one member, and what can be changed about their membership."""
    return _shown(request, here, member_of(here, member_id))


ACTS: dict[str, tuple[type[forms.OfMemberForm], str]] = {
    "change": (forms.ChangeForm, "Changed."),
    "sign-in": (forms.SignInForm, "The letter is on its way. Its link opens for a week."),
    "suspend": (forms.SuspendForm, "Suspended: from now on they can neither act nor read here."),
    "restore": (forms.RestoreForm, "Restored: they can act and read again."),
    "end": (forms.EndForm, "The membership has ended. What they recorded stays."),
    "reinstate": (forms.ReinstateForm, "They belong to the group again."),
    "erase": (forms.EraseForm, "Erased. Sign-in, devices, letters and files follow within a minute."),
}
"""Act in an address -> its form and what is said once it is done."""


@page("manage_members", "POST")
def act(request: HttpRequest, here: Here, member_id: UUID, act: str) -> HttpResponse:
    """Change something about a membership."""
    if act not in ACTS:
        raise Http404
    member = member_of(here, member_id)
    kind, said = ACTS[act]
    form = kind(request.POST, here=here, member=member)
    if performed(form, here) is None:
        return _shown(request, here, member, act, form)
    messages.success(request, said)
    return redirect("home") if member.id == here.member.id else redirect("person", member_id=member.id)


def _shown(
    request: HttpRequest, here: Here, member: Member, act: str = "", refused: forms.OfMemberForm | None = None
) -> HttpResponse:
    """Show a member with the acts that their state admits; one that was refused keeps what was typed."""
    offered = {
        name: refused if refused is not None and name == act else ACTS[name][0](here=here, member=member)
        for name in _acts_on(member)
    }
    return show(
        request, "person", member=member, offered=offered, refused=refused, act=act,
        status=refused.status if refused else 200,
    )  # fmt: skip


def _acts_on(member: Member) -> list[str]:
    if member.erased_at:
        return ["erase"] if member.display_name != ERASED else []
    if member.ended_at:
        return ["reinstate", "erase"]
    if member.suspended_at:
        return ["restore", "change", "end"]
    return ["change", *([] if member.person.has_usable_password() else ["sign-in"]), "suspend", "end"]


def member_of(here: Here, member_id: UUID) -> Member:
    """Return the group's member, present or former; another group's does not exist here."""
    found = Member.objects.select_related("person").filter(group_id=here.group.id, id=member_id).first()
    if found is None:
        raise Http404
    return found
