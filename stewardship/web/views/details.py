"""What members say of themselves, on a page of their own, and the texts that the group asks them to agree to."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from stewardship.accounts.models import Consent, ConsentText, EmergencyContact, Member
from stewardship.web.access import Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms import details as forms
from stewardship.web.forms.base import ActForm
from stewardship.web.views.people import member_of

ACTS: dict[str, tuple[type[forms.OfMemberForm], str]] = {
    "details": (forms.DetailsForm, "That is kept."),
    "contact": (forms.ContactForm, "That is kept."),
    "remove": (forms.RemoveContactForm, "Taken off."),
    "agree": (forms.AgreeForm, "You have agreed."),
    "sheet": (forms.SheetForm, "The signed sheet is on record."),
    "withdraw": (forms.WithdrawForm, "Withdrawn. It does not count from today on."),
}
"""Act in an address -> its form and what is said once it is done."""


@page("keep_own_details")
def details(request: HttpRequest, here: Here, member_id: UUID) -> HttpResponse:
    """Show what a member said: oneself, or anybody for who manages members."""
    return _shown(request, here, _whose(here, member_id))


@page("keep_own_details", "POST")
def tell(request: HttpRequest, here: Here, member_id: UUID, act: str) -> HttpResponse:
    """Enter something on that page."""
    if act not in ACTS:
        raise Http404
    member = _whose(here, member_id)
    kind, said = ACTS[act]
    form = kind(request.POST, here=here, member=member)
    if performed(form, here) is None:
        return _shown(request, here, member, refused=form, act=act)
    messages.success(request, said)
    return redirect("details", member_id=member.id)


@page("manage_members", "GET", "POST")
def consent_texts(request: HttpRequest, here: Here) -> HttpResponse:
    """List the texts that people are asked to agree to, and enter another."""
    form = forms.NewTextForm(request.POST if request.method == "POST" else None, here=here)
    if form.is_bound and performed(form, here) is not None:
        messages.success(request, "The text is kept, and asked for from today on.")
        return redirect("consent_texts")
    texts = ConsentText.objects.filter(group_id=here.group.id).order_by("retired_at", "what", "from_on", "id")
    wishes = forms.WishesForm(here=here, auto_id="wishes_%s")
    return show(request, "consent_texts", status=form.status, texts=texts, form=form, wishes=wishes)


@page("manage_group", "POST")
def wishes(request: HttpRequest, here: Here) -> HttpResponse:
    """Say what the group asks of whoever comes to a work day."""
    if performed(forms.WishesForm(request.POST, here=here), here) is None:
        raise Http404
    messages.success(request, "That is kept.")
    return redirect("consent_texts")


def _whose(here: Here, member_id: UUID) -> Member:
    if member_id != here.member.id and not here.may.get("manage_members"):
        raise Http404
    return member_of(here, member_id)


def _shown(
    request: HttpRequest, here: Here, member: Member, *, refused: ActForm | None = None, act: str = ""
) -> HttpResponse:
    in_group: dict[str, Any] = {"group_id": here.group.id}
    made = {
        name: refused if refused and name == act else kind(here=here, member=member, auto_id=f"{name}_%s")
        for name, (kind, _) in ACTS.items()
    }
    given = Consent.objects.filter(**in_group, member=member, voided_at=None).select_related("text")
    counting = [each for each in given.order_by("given_on", "id") if each.counts_on(here.today)]
    texts = ConsentText.objects.filter(**in_group, retired_at=None).order_by("what", "id")
    return show(
        request, "details", status=refused.status if refused else 200, member=member, forms=made, refused=refused,
        act=act, is_mine=member.id == here.member.id, consents=counting,
        contacts=EmergencyContact.objects.filter(**in_group, member=member, removed_at=None).order_by("place", "id"),
        texts=[text for text in texts if text.id not in {each.text_id for each in counting}],
    )  # fmt: skip
