"""What somebody was told, how they wish to be told, and whom a coordinator has to phone."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from stewardship.accounts.models import Member
from stewardship.accounts.queries import actor_of, memberships
from stewardship.journal.ids import new_id
from stewardship.notices.kinds import KINDS
from stewardship.notices.models import Notice, NotificationSettings
from stewardship.notices.queries import told_to
from stewardship.notices.services.reading import mark_phoned, mark_seen
from stewardship.notices.services.settings import SettingsThere
from stewardship.notices.writing import member_of
from stewardship.sync.perform import perform_one
from stewardship.sync.reading import Sent
from stewardship.web.access import CHOSEN, Here, page, show
from stewardship.web.acts import performed
from stewardship.web.forms.told import HowToldForm, RemindingForm

MOST = 100
"""Notices on the page; older ones are in the mails that told them."""


@page("be_told")
def told(request: HttpRequest, here: Here) -> HttpResponse:
    """Show what the person was told; with that they have seen it."""
    notices = list(told_to(here.member, here.at)[:MOST])
    mark_seen(here.member, here.at)
    return show(request, "told", notices=notices)


@page("be_told", "GET", "POST")
def how_told(request: HttpRequest, here: Here) -> HttpResponse:
    """Show and change how the person wishes to be told."""
    settings = NotificationSettings.objects.filter(group_id=here.group.id, member_id=here.member.id).first()
    form = HowToldForm(request.POST if request.method == "POST" else None, here=here, settings=settings)
    if form.is_bound and performed(form, here) is not None:
        messages.success(request, "From now on you are told as you said.")
        return redirect("how_told")
    always = [kind.label for kind in KINDS.values() if kind.always]
    return show(request, "how_told", form=form, always=always, status=form.status)


@page("manage_group", "GET", "POST")
def reminding(request: HttpRequest, here: Here) -> HttpResponse:
    """Show and change when and whom the group reminds."""
    form = RemindingForm(request.POST if request.method == "POST" else None, here=here)
    if form.is_bound and performed(form, here) is not None:
        messages.success(request, "From now on the group reminds as you said.")
        return redirect("reminding")
    return show(request, "reminding", form=form, status=form.status)


@page("manage_members", "POST")
def phoned(request: HttpRequest, here: Here, member_id: UUID) -> HttpResponse:
    """Take down that somebody whom no mail reaches was phoned."""
    member = get_object_or_404(Member, group_id=here.group.id, id=member_id)
    if mark_phoned(here.group.id, member.id, by=here.member, at=here.at):
        messages.success(request, f"{member.display_name} has been told by phone.")
    return redirect("home")


@login_required
@require_safe
def one(request: HttpRequest, notice_id: UUID) -> HttpResponse:
    """Lead from a mail to the page that a notice is about, in its group; with that it has been seen."""
    notice = Notice.objects.select_related("member__group").filter(
        id=notice_id, member__person_id=request.user.pk, member__ended_at=None, member__suspended_at=None
    ).first()  # fmt: skip
    if notice is None:
        raise Http404
    here = page("be_told")(lambda request, here: redirect(notice.path or "told"))
    request.session[CHOSEN] = str(notice.group_id)
    response = here(request)
    mark_seen(notice.member, request.here.at, notice.id)  # type: ignore[attr-defined]
    return response


@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
def off(request: HttpRequest, token: str) -> HttpResponse:
    """Keep on the page what need not come by mail, as a mail program asks for its reader.

    Who opens the address is led to the page where they choose.
    """
    member = member_of(token)
    if member is None:
        raise Http404
    if request.method != "POST":
        return redirect("how_told_in", group_id=member.group_id)
    try:
        _keep_on_page(member)
    except SettingsThere:  # said for the first time by two at once: what the other said is changed
        _keep_on_page(member)
    return HttpResponse("From now on this stays on your page.\n", content_type="text/plain")


def _keep_on_page(member: Member) -> None:
    known = NotificationSettings.objects.filter(group_id=member.group_id, member_id=member.id).first()
    wish = {"page_only": [kind for kind, each in KINDS.items() if not each.always]}
    act = {"op": "amend", "id": known.id} if known else {"op": "create"}
    sent = Sent(mid=new_id(), type="notification_settings", set=wish, **act)
    perform_one(sent, actor=actor_of(member), at=timezone.now())


@login_required
@require_safe
def in_group(request: HttpRequest, group_id: UUID, then: str) -> HttpResponse:
    """Lead from a mail to a page in the group that the mail came from."""
    if not memberships(request.user.pk).filter(group_id=group_id).exists():
        raise Http404
    request.session[CHOSEN] = str(group_id)
    return redirect(then)
