"""Which group a person works in, where they are in several."""

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from stewardship.accounts.queries import memberships
from stewardship.web.access import CHOSEN, here_of, show


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
