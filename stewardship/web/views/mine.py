"""My account: what is a person's own, whatever group they work in."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from stewardship.accounts.queries import memberships
from stewardship.web.access import here_of, show


@login_required
@require_safe
def mine(request: HttpRequest) -> HttpResponse:
    """Show what the person can look at and change about their own account."""
    request.here = here_of(request)  # type: ignore[attr-defined]
    return show(request, "my", members=list(memberships(request.user.pk)))
