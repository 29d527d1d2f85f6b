"""Which group a person works in, where they are in several; what a group is called, its state, clock and units."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from stewardship.accounts.queries import memberships
from stewardship.web.access import CHOSEN, Here, here_of, page, show
from stewardship.web.acts import performed
from stewardship.web.forms.groups import GroupForm


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def groups(request: HttpRequest) -> HttpResponse:
    """Show the groups that the person is in; choose one of them."""
    found = list(memberships(request.user.pk))
    if request.method == "POST":
        if request.POST.get("group") not in [str(member.group_id) for member in found]:
            raise Http404
        request.session[CHOSEN] = request.POST["group"]
        return redirect("home")
    request.here = here_of(request)  # type: ignore[attr-defined]
    return show(request, "groups", members=found)


@page("manage_group", "GET", "POST")
def group(request: HttpRequest, here: Here) -> HttpResponse:
    """Change what the first steps asked of the group."""
    form = GroupForm(request.POST if request.method == "POST" else None, here=here)
    if form.is_bound and performed(form, here) is not None:
        messages.success(request, "That is kept.")
        return redirect("group")
    return show(request, "group", form=form, status=form.status)
