"""Who looks at a page, in which group, and what they may do there: asked once for each request."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from functools import wraps
from typing import Any
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo

from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.cache import patch_cache_control
from django.utils.functional import SimpleLazyObject

from stewardship.accounts.capabilities import Actor
from stewardship.accounts.models import Group, Member
from stewardship.accounts.queries import actor_of, memberships
from stewardship.journal.models import Book
from stewardship.rules.dates import local_date

CHOSEN = "group"
"""Key of the chosen group in a person's session."""


@dataclass(frozen=True)
class Here:
    """A member at a page: the membership, the actor it makes, the moment, and how many groups they are in."""

    member: Member
    actor: Actor
    at: datetime
    groups: int = 1

    @property
    def group(self) -> Group:
        """Return the group whose records the page shows."""
        return self.member.group

    @property
    def zone(self) -> ZoneInfo:
        """Return the time zone of the group."""
        return ZoneInfo(self.group.time_zone)

    @property
    def today(self) -> date:
        """Return the date on the group's calendar."""
        return local_date(self.at, self.zone)

    @property
    def held(self) -> int:
        """Return how many entries wait for a person to settle them: they are in no total."""
        return Book.objects.values_list("held", flat=True).get(group_id=self.group.id)

    @property
    def may(self) -> dict[str, bool]:
        """Return every capability that the member has, for templates: ``here.may.sign_up``."""
        return dict.fromkeys(self.actor.capabilities(), True)


OF_GROUP = "of_group"
"""Field of a form that says in which group it was opened: another one may have been chosen in another window since."""


def here_of(request: HttpRequest) -> Here | None:
    """Return the member at this page: of the group that a form was opened in, of the only one, or of the one chosen."""
    found = list(memberships(request.user.pk))
    of_form = request.POST.get(OF_GROUP)
    chosen = of_form or request.session.get(CHOSEN)
    for member in found:
        if str(member.group_id) == chosen or (len(found) == 1 and not of_form):
            return Here(member, actor_of(member), timezone.now(), len(found))
    return None


def of_every_page(request: HttpRequest) -> dict[str, Any]:
    """Return the member for pages that packages bring, so that they lead back into the group; asked for when used."""

    def found() -> Here | None:
        user = getattr(request, "user", None)
        return here_of(request) if user is not None and user.is_authenticated else None

    return {"here": SimpleLazyObject(found)}


def page(may: str, *methods: str) -> Callable[..., Any]:
    """Make a view a page of the group for whoever has this capability; for anybody else it does not exist.

    The view is called with the request and a Here. ``methods``: GET unless named.
    """
    taken = methods or ("GET",)

    def wrap(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @wraps(view)
        def checked(request: HttpRequest, **ids: Any) -> HttpResponse:
            if not request.user.is_authenticated:
                return redirect_to_login(_back_to(request))
            if request.method not in (*taken, "HEAD" if "GET" in taken else ""):
                return _not_taken(request, taken)
            here = here_of(request)
            if here is None:
                return redirect("groups")
            if not here.actor.may(may):
                raise Http404
            if request.POST.get(OF_GROUP):
                request.session[CHOSEN] = str(here.group.id)
            request.here = here  # type: ignore[attr-defined]
            response = view(request, here, **ids)
            patch_cache_control(response, private=True, no_cache=True)
            return response

        return checked

    return wrap


def _not_taken(request: HttpRequest, taken: tuple[str, ...]) -> HttpResponse:
    """Return the answer to an address that was opened and only takes a form, or the other way round."""
    response = render(request, "405.html", status=405)
    response["Allow"] = ", ".join(taken)
    return response


def _back_to(request: HttpRequest) -> str:
    """Return where to go after signing in: a form that was sent too late leads back to the page it stood on."""
    if request.method in ("GET", "HEAD"):
        return request.get_full_path()
    came_from = urlsplit(request.headers.get("Referer", ""))
    return came_from.path if came_from.netloc == request.get_host() else "/"


def show(request: HttpRequest, template: str, status: int = 200, **context: Any) -> HttpResponse:
    """Return a page of ours with what it shows."""
    context["here"] = getattr(request, "here", None)
    return render(request, f"web/{template}.html", context, status=status)
