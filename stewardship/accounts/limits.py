"""Which attempts are limited, and where they come in: browser pages, headless sign-in and invitations alike.

The middleware counts before the view looks at a password or a code, under the account that is tried (whether there is
one or not) and under the client's address. An attempt that succeeded is given back.
"""

import json
from collections.abc import Callable
from datetime import datetime, timedelta
from ipaddress import IPv6Address, IPv6Network, ip_address
from typing import Any, NamedTuple

from allauth.core.internal.cryptokit import normalize_user_code
from allauth.headless.internal.sessionkit import lookup_session
from django.conf import settings
from django.core.exceptions import BadRequest
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils import timezone

from stewardship.accounts.attempts import Counted, Limit, TooManyAttempts, give_back, take
from stewardship.accounts.queries import person_of

LONGEST_ADDRESS = 254
"""Characters of the longest address that anybody can have here."""

KNOWN = "known_browser"
"""The cookie of a browser in which somebody has signed in before, signed: it says who."""
KNOWN_FOR = timedelta(days=365)

FIVE_MINUTES, QUARTER = timedelta(minutes=5), timedelta(minutes=15)
ACCOUNT, ADDRESS, CODE = "account", "address", "code"

LOGIN = (Limit("login", ACCOUNT, 5, FIVE_MINUTES), Limit("login", ADDRESS, 20, FIVE_MINUTES))
RESET = (Limit("reset", ACCOUNT, 5, QUARTER), Limit("reset", ADDRESS, 20, QUARTER))
EMAILED = (Limit("emailed code", ACCOUNT, 10, QUARTER), Limit("emailed code", ADDRESS, 30, QUARTER))
SECOND = (
    Limit("second factor", ACCOUNT, 5, FIVE_MINUTES),
    Limit("second factor", ADDRESS, 20, FIVE_MINUTES),
    Limit("second factor", CODE, 1, timedelta(seconds=90)),
)
MAIL = (Limit("mail", ACCOUNT, 10, QUARTER), Limit("mail", ADDRESS, 30, QUARTER))
ACCEPT = (Limit("accept", ACCOUNT, 10, QUARTER), Limit("accept", ADDRESS, 30, QUARTER))


class Route(NamedTuple):
    """What is limited at an address: by which limits, by which methods, and whether success is given back.

    ``names``: the field that names the account; ``state``: what stands in the session while a code from a letter is
    waited for. Without either the account is who is signed in or about to be. Nothing else that is sent counts, or
    whoever guesses could choose whose attempts they are.
    """

    limits: tuple[Limit, ...]
    methods: frozenset[str] = frozenset({"POST"})
    gives_back: bool = True
    names: str = ""
    state: str = ""


RESETTING, VERIFYING = "account_password_reset_verification", "account_email_verification_code"

ROUTES = {
    "account_login": Route(LOGIN, names="login"),
    "account_reauthenticate": Route(LOGIN),
    "account_change_password": Route(LOGIN),
    "account:login": Route(LOGIN, names="email"),
    "account:reauthenticate": Route(LOGIN),
    "account:change_password": Route(LOGIN),
    "account_reset_password": Route(RESET, gives_back=False, names="email"),
    "account:request_password_reset": Route(RESET, gives_back=False, names="email"),
    "account_confirm_password_reset_code": Route(EMAILED, gives_back=False, state=RESETTING),
    "account_email_verification_sent": Route(EMAILED, gives_back=False, state=VERIFYING),
    "account:reset_password": Route(EMAILED, frozenset({"GET", "POST"}), gives_back=False, state=RESETTING),
    "account:verify_email": Route(EMAILED, frozenset({"GET", "POST"}), gives_back=False, state=VERIFYING),
    "account_email": Route(MAIL, gives_back=False),
    "account:manage_email": Route(MAIL, frozenset({"POST", "PUT"}), gives_back=False),
    "account:resend_email_verification_code": Route(MAIL, gives_back=False),
    "mfa_authenticate": Route(SECOND),
    "mfa_reauthenticate": Route(SECOND),
    "mfa_activate_totp": Route(SECOND),
    "mfa:authenticate": Route(SECOND),
    "mfa:reauthenticate": Route(SECOND),
    "mfa:manage_totp": Route(SECOND),
    "invitation": Route(ACCEPT, frozenset({"GET", "HEAD", "POST"})),
}
"""Name of an address (headless: app and name, for both kinds of client) -> what is limited there."""


class Try(NamedTuple):
    """An attempt that was counted, and how it is judged once it is answered."""

    at: datetime
    counted: list[Counted]
    gives_back: bool


class Limits:
    """The middleware: counts an attempt before its view, and gives it back if it succeeded."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        """Stand before the views, behind everything that says who asks."""
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer; an attempt that succeeded counts for nothing, except that its code is used up."""
        response = self.get_response(request)
        counted: Try | None = getattr(request, "counted_try", None)
        if counted is not None:
            done = _succeeded(request, response)
            back = [each for each in counted.counted if (each.limit.of == CODE) != done]
            give_back(back if counted.gives_back else (), at=counted.at)
            if done and counted.gives_back and request.user.is_authenticated and not _is_headless(request):
                _know_browser(request, response)
        return response

    def process_view(self, request: HttpRequest, *view: Any) -> HttpResponse | None:
        """Count an attempt, or refuse it with how long to wait."""
        route = ROUTES.get(_name(request))
        if route is None or request.method not in route.methods:
            return None
        at = timezone.now()
        account = _account(request, route)
        whose = {
            ADDRESS: client_address(request), ACCOUNT: _of_browser(request, account), CODE: _code(request, account),
        }  # fmt: skip
        counted = [Counted.of(limit, whose[limit.of]) for limit in route.limits if whose[limit.of]]
        try:
            take(counted, at=at)
        except TooManyAttempts as refusal:
            return _refused(request, refusal)
        request.counted_try = Try(at, counted, route.gives_back)  # type: ignore[attr-defined]
        return None


def client_address(request: HttpRequest) -> str:
    """Return the address that an attempt is counted under.

    With ``TRUSTED_PROXIES`` in front, each appends whom it heard from to ``X-Forwarded-For``: the entry that many from
    the right end is whom the outermost of them heard from. What stands left of it is the client's own word. The
    addresses of an IPv6 network of one customer (/64) count as one.
    """
    count = settings.ALLAUTH_TRUSTED_PROXY_COUNT
    told = [each.strip() for each in request.headers.get("X-Forwarded-For", "").split(",")]
    text = told[-count] if 0 < count <= len(told) else request.META.get("REMOTE_ADDR", "")
    try:
        address = ip_address(text)
    except ValueError:
        return str(request.META.get("REMOTE_ADDR", ""))
    if isinstance(address, IPv6Address) and address.ipv4_mapped is None:
        return str(IPv6Network((address, 64), strict=False).network_address)
    return str(address)


def _name(request: HttpRequest) -> str:
    """Return the name of the address; of a headless one the last two parts, which both kinds of client share."""
    match = request.resolver_match
    name = match.view_name if match else ""
    return ":".join(name.split(":")[-2:]) if name.startswith("headless:") else name


def _is_headless(request: HttpRequest) -> bool:
    return request.path_info.startswith("/_allauth/")


def _said(request: HttpRequest) -> dict[str, Any]:
    """Return what was sent: a form, or JSON where there is no page."""
    if not _is_headless(request):
        return request.POST.dict()
    try:
        said = json.loads(request.body or b"{}")
    except ValueError:
        return {}
    except RecursionError:
        raise BadRequest("nested without end") from None
    return said if isinstance(said, dict) else {}


def _account(request: HttpRequest, route: Route) -> str:
    """Return whose account is tried, the same at every door and under each of its addresses; else the link."""
    match = request.resolver_match
    if match and "secret" in match.kwargs:
        return str(match.kwargs["secret"])
    if route.names:
        return _of_address(_said(request).get(route.names))
    session = _session(request)
    if email := (session.get(route.state) or {}).get("email"):
        return _of_address(email)
    known = session.get("_auth_user_id") or (session.get("account_login") or {}).get("user_pk") or ""
    return str(known).replace("-", "")


def _of_address(email: Any) -> str:
    """Return the id of who signs in with an address; one that nobody has stands for itself."""
    email = str(email or "").strip().lower()
    may_be_known = email.isprintable() and len(email) <= LONGEST_ADDRESS
    person = person_of(email) if may_be_known else None
    return person.id.hex if person else email


def _of_browser(request: HttpRequest, account: str) -> str:
    """Return the account as a browser tries it in which that person signed in before: it has attempts of its own.

    So whoever guesses elsewhere does not shut them out. https://owasp.org/www-community/Slow_Down_Online_Guessing_Attacks_with_Device_Cookies
    """
    known = request.get_signed_cookie(KNOWN, default="", salt=KNOWN, max_age=KNOWN_FOR)
    return f"{account} {request.COOKIES[KNOWN]}" if known and known == account else account


def _know_browser(request: HttpRequest, response: HttpResponse) -> None:
    """Let a browser be known as one of who has just signed in with it."""
    response.set_signed_cookie(
        KNOWN, request.user.pk.hex, salt=KNOWN, max_age=KNOWN_FOR, httponly=True, samesite="Lax",
        secure=settings.SESSION_COOKIE_SECURE,
    )  # fmt: skip


def _session(request: HttpRequest) -> Any:
    """Return the session that the view will look at: that of a token for a program, else that of the browser."""
    if not request.path_info.startswith("/_allauth/app/"):
        return request.session
    token = request.headers.get("X-Session-Token")
    return token and lookup_session(token) or {}


def _code(request: HttpRequest, account: str) -> str:
    """Return the code of an account, which counts once however it is written; empty where none is sent."""
    code = normalize_user_code(str(_said(request).get("code", "")))
    return f"{account}\n{code}" if code else ""


def _succeeded(request: HttpRequest, response: HttpResponse) -> bool:
    """Return whether an attempt succeeded: a page leads on, a program is answered 200, an open link is shown."""
    if _is_headless(request) or request.method != "POST":
        return response.status_code == 200
    return response.status_code in (302, 303)


def _refused(request: HttpRequest, refusal: TooManyAttempts) -> HttpResponse:
    if _is_headless(request):
        error = {"code": refusal.code, "message": str(refusal)}
        response: HttpResponse = JsonResponse({"status": 429, "errors": [error]}, status=429)
    else:
        response = render(request, "429.html", {"said": str(refusal)}, status=429)
    response["Retry-After"] = str(refusal.wait_s)
    response["Cache-Control"] = "no-store"
    return response
